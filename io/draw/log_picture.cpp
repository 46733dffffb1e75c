#include "io/draw/log_picture.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <cstddef>
#include <utility>

#include <fmt/format.h>

#include "core/angles.hpp"
#include "graph/check/motion_events.hpp"
#include "io/draw/time_panels.hpp"
#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

enum LogPanel : std::size_t { kSpeed, kTurning, kWayApart, kTurnApart, kReturns, kMissing, kLogPanels };

/// Where a finding's number stands: beside what shows it best.
LogPanel panel_of(Fault fault) {
  switch (fault) {
    case Fault::slip:
    case Fault::stuck:
    case Fault::lifted:
      return kWayApart;
    case Fault::too_fast:
      return kTurning;
    case Fault::too_little_seen:
    case Fault::range_unit:
    case Fault::largest_range:
    case Fault::body_in_view:
      return kReturns;
    case Fault::time_unit:
    case Fault::counter_wraps:
    case Fault::dead_counter:
    case Fault::lost_wheel_rows:
    case Fault::doubled_wheel_rows:
    case Fault::lost_scans:
    case Fault::doubled_scans:
      return kMissing;
    default:
      return kSpeed;
  }
}

PanelSeries series_of(const char* name, const TimedValues& values, double factor, const char* meaning) {
  PanelSeries series{name, values.time_s, values.value, meaning};
  for (double& value : series.value) value *= factor;
  return series;
}

/// Series that hold something.
void add_series(PanelSeries series, TimePanel& panel) {
  if (!series.value.empty()) panel.series.push_back(std::move(series));
}

std::array<TimePanel, kLogPanels> panels_of(const LogCourse& course) {
  constexpr double kCmPerM = 100.0;
  const char* const by_wheels = course.by_odometry ? "by odometry" : "by the wheels";
  std::array<TimePanel, kLogPanels> panels;
  panels[kSpeed].title = "Speed, m/s";
  add_series(series_of("by the scans", course.scans_m_s, 1.0, "path"), panels[kSpeed]);
  add_series(series_of(by_wheels, course.wheels_m_s, 1.0, "odometry"), panels[kSpeed]);
  panels[kTurning].title = "Turning, °/s, to the left positive";
  add_series(series_of("gyro", course.gyro_rad_s, kDegreesPerRadian, "path-3"), panels[kTurning]);
  add_series(series_of("by the scans", course.scans_rad_s, kDegreesPerRadian, "path"), panels[kTurning]);
  add_series(series_of(by_wheels, course.wheels_rad_s, kDegreesPerRadian, "odometry"), panels[kTurning]);
  panels[kWayApart].title = "Wheels and scans apart, cm each stride";
  add_series(series_of("constants as found; dotted: what a slip comes to", course.apart_m, kCmPerM, "path"),
             panels[kWayApart]);
  panels[kWayApart].limits = {kCmPerM * kSlipM};
  panels[kTurnApart].title = "Wheels and scans apart, ° each stride";
  add_series(series_of("constants as found; dotted: what a slip comes to", course.apart_rad, kDegreesPerRadian, "path"),
             panels[kTurnApart]);
  panels[kTurnApart].limits = {kDegreesPerRadian * kSlipRad};
  panels[kReturns].title = "Returns a scan, number";
  const std::string most = fmt::format("as logged; the fullest scan has {}", whole_text(course.most_returns));
  add_series(series_of(most.c_str(), course.returns, 1.0, "path"), panels[kReturns]);
  panels[kMissing].title = "What is missing or stands";
  for (const NamedSpans& holes : course.holes) {
    PanelBars bars{holes.name, {}, {}};
    for (const TimeSpan& span : holes.spans) {
      bars.begin_s.push_back(span.begin_s);
      bars.end_s.push_back(span.end_s);
    }
    panels[kMissing].bars.push_back(std::move(bars));
  }
  return panels;
}

bool is_empty(const TimePanel& panel) { return panel.series.empty() && panel.bars.empty(); }

/// Puts each number beside what shows it best, or where that is not drawn, into the first panel that is.
void mark_findings(const std::vector<Finding>& findings, std::array<TimePanel, kLogPanels>& panels) {
  for (std::size_t i = 0; i < findings.size(); ++i) {
    if (!findings[i].time_s) continue;
    TimePanel* panel = &panels.at(panel_of(findings[i].fault));
    if (is_empty(*panel)) panel = std::find_if_not(panels.begin(), panels.end(), is_empty);
    if (panel != panels.end()) panel->marks.push_back({*findings[i].time_s, i + 1});
  }
}

std::string begun_with_capital(std::string text) {
  if (!text.empty()) text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
  return text;
}

std::vector<std::string> sentences_of(const LogPicture& picture) {
  constexpr std::size_t kMost = 60;  // a page of them
  std::vector<std::string> sentences;
  for (std::size_t i = 0; i < std::min(picture.findings.size(), kMost); ++i) {
    const Finding& finding = picture.findings[i];
    const std::string when = finding.time_s ? fmt::format(", at {} s", fixed_text(*finding.time_s, 1)) : "";
    sentences.push_back(fmt::format("{}. {}{}.", i + 1, begun_with_capital(finding.what), when));
  }
  if (picture.findings.size() > kMost) {
    sentences.push_back(fmt::format("And {} more, which check tells.", picture.findings.size() - kMost));
  }
  for (const std::string& note : picture.notes) sentences.push_back(begun_with_capital(note) + ".");
  return sentences;
}

}  // namespace

std::string log_picture(const LogPicture& picture) {
  std::array<TimePanel, kLogPanels> panels = panels_of(picture.course);
  mark_findings(picture.findings, panels);
  TimePanels all;
  all.title = fmt::format("The log of {}{}", printable(picture.drive, 100), picture.simulated ? " (simulated)" : "");
  all.begin_s = picture.course.time.begin_s;
  all.end_s = picture.course.time.end_s;
  for (TimePanel& panel : panels) {
    if (!is_empty(panel)) all.panels.push_back(std::move(panel));
  }
  all.notes = sentences_of(picture);
  return svg_time_panels(all, SvgUse::file);
}

}  // namespace wainscot
