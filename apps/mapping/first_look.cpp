#include "apps/mapping/first_look.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include <fmt/format.h>

#include "apps/mapping/checked_stretch.hpp"
#include "core/errors.hpp"
#include "core/odometry.hpp"
#include "graph/check/dead_counter.hpp"
#include "graph/check/found_readings.hpp"
#include "graph/check/hasty_look.hpp"
#include "graph/check/log_check.hpp"
#include "graph/check/time_units.hpp"

namespace wainscot {
namespace {

/// Of motion: signs and units show in the first turns, the clock's offset to a few milliseconds in a minute or two.
constexpr double kLookedS = 100.0;

/// The lidar's heading is refined from where it is stated, and found within some ten degrees of there.
constexpr double kTurnedFarDeg = 20.0;

/// Whatever the finding says of itself, the map is at stake: chance may not look like this.
constexpr double kSure = 0.999;

struct Window {
  double from_s = 0.0;
  double to_s = 0.0;
};

/// From just before the robot first moves until it has moved for so long.
Window first_motion(const Drive& drive) {
  constexpr double kLeadS = 3.0;
  constexpr double kStillM = 1e-4;
  constexpr double kStillRad = 1e-3;
  constexpr double kLongestStepS = 5.0;  // of a slow log; more is a pause
  Window window{-1e300, 1e300};
  double moved_s = 0.0;
  for (const OdometryStep& step : odometry_steps(drive)) {
    const double step_s = step.end_s - step.begin_s;
    if (step.motion.head<2>().norm() < kStillM && std::abs(step.motion.z()) < kStillRad) continue;
    if (moved_s == 0.0) window.from_s = step.begin_s - kLeadS;
    moved_s += std::min(step_s, kLongestStepS);
    if (moved_s <= kLookedS) continue;
    window.to_s = step.end_s;
    break;
  }
  return window;
}

template <typename Row>
std::vector<Row> rows_in(const Window& window, const std::vector<Row>& rows) {
  std::vector<Row> kept;
  for (const Row& row : rows) {
    if (row.time_s >= window.from_s && row.time_s <= window.to_s) kept.push_back(row);
  }
  return kept;
}

template <typename Row>
std::vector<std::size_t> breaks_in(const Window& window, const std::vector<Row>& rows,
                                   const std::vector<std::size_t>& breaks) {
  const auto before = [](const Row& row, double time_s) { return row.time_s < time_s; };
  const auto first =
      static_cast<std::size_t>(std::lower_bound(rows.begin(), rows.end(), window.from_s, before) - rows.begin());
  std::vector<std::size_t> kept;
  for (const std::size_t row : breaks) {
    if (row > first && row < rows.size() && rows[row].time_s <= window.to_s) kept.push_back(row - first);
  }
  return kept;
}

Drive drive_in(const Window& window, const Drive& drive) {
  Drive part;
  part.name = drive.name;
  part.robot = drive.robot;
  part.wheels = rows_in(window, drive.wheels);
  part.odometry = rows_in(window, drive.odometry);
  part.breaks = drive.wheels.empty() ? breaks_in(window, drive.odometry, drive.breaks)
                                     : breaks_in(window, drive.wheels, drive.breaks);
  part.scans = rows_in(window, drive.scans);
  part.gyro = rows_in(window, drive.gyro);
  return part;
}

LogReadings readings_in(const Window& window, const LogReadings& readings) {
  LogReadings part;
  part.drive = drive_in(window, readings.drive);
  part.logged = rows_in(window, readings.logged);
  if (readings.with_16_bits) part.with_16_bits = drive_in(window, *readings.with_16_bits);
  if (const auto& other = readings.other_headings) {
    part.other_headings = OtherHeadings{other->heading_unit_rad, rows_in(window, other->odometry),
                                        breaks_in(window, other->odometry, other->breaks)};
  }
  return part;
}

/// nullopt: the log tells too little.
std::optional<LogCheck> check_of(LogReadings readings, int threads) {
  const TimeUnits units = time_units(readings.drive);
  const std::vector<Finding> of_times = time_findings(units, readings.drive);
  LogCheck check;
  check.mended = readings.drive.robot;
  try {
    readings = in_seconds(std::move(readings), units);
    find_robot_or_why(readings);
    LogCheckOptions options;
    options.threads = threads;
    check = check_log(checked_stretch(readings_in(first_motion(readings.drive), readings)).readings, options);
  } catch (const PoorData&) {
    if (of_times.empty()) return std::nullopt;
  }
  check.findings.insert(check.findings.begin(), of_times.begin(), of_times.end());
  return check;
}

bool is_spoiling(const Finding& finding, const Robot& stated, const Robot& mended) {
  if (finding.confidence < kSure && !finding.or_else) return false;
  switch (finding.fault) {
    case Fault::time_unit:
    case Fault::odometry_unit:
    case Fault::heading_unit:
    case Fault::gyro_unit:
    case Fault::range_unit:
    case Fault::mirrored:
    case Fault::swapped:
    case Fault::left_backwards:
    case Fault::right_backwards:
    case Fault::both_backwards:
    case Fault::gyro_sign:
      return true;
    case Fault::lidar_turned:
      return std::abs(std::remainder(mended.lidar.heading_deg - stated.lidar.heading_deg, 360.0)) > kTurnedFarDeg;
    default:
      return false;
  }
}

std::string lines_of(const Finding& finding) {
  return finding.lines.empty() ? "" : fmt::format("{}", fmt::join(finding.lines, ", "));
}

std::string spoiling_sentence(const Finding& finding) {
  std::string text = fmt::format("{} ({})", finding.what, finding.figure);
  if (!finding.lines.empty()) text += "; robot.yaml needs " + lines_of(finding);
  if (!finding.act.empty()) text += (finding.lines.empty() ? "; " : ", ") + finding.act;
  return text;
}

/// As found; how sure that is, is not what robot.yaml stated of its own values.
bool take_wheels(const DriveConstants& mended, DriveConstants& start) {
  start.left_m_per_tick = mended.left_m_per_tick;
  start.right_m_per_tick = mended.right_m_per_tick;
  start.track_width_m = mended.track_width_m;
  start.left_sd_m_per_tick = start.right_sd_m_per_tick = start.track_width_sd_m = std::nullopt;
  return true;
}

/// Takes over what a finding says of a constant that the mapping refines; whether there is one.
bool take(const Finding& finding, const Robot& mended, Robot& start) {
  if (finding.confidence < kSure) return false;
  switch (finding.fault) {
    case Fault::clock_drift:
      start.lidar.clock_rate = mended.lidar.clock_rate;
      [[fallthrough]];
    case Fault::clock_offset:
      start.lidar.time_offset_s = mended.lidar.time_offset_s;
      return true;
    case Fault::lidar_turned:
      start.lidar.heading_deg = mended.lidar.heading_deg;
      return true;
    case Fault::lidar_displaced:
      start.lidar.x_m = mended.lidar.x_m;
      start.lidar.y_m = mended.lidar.y_m;
      return true;
    case Fault::left_tick:
    case Fault::right_tick:
    case Fault::both_ticks:
    case Fault::track_width:
      return !finding.lines.empty() && take_wheels(*mended.drive, *start.drive);
    case Fault::counter_wraps:
      start.drive->counter_bits = mended.drive->counter_bits;
      return true;
    default:
      return false;
  }
}

}  // namespace

FirstLook first_look(const Drive& drive, const std::function<LogReadings()>& readings, int threads) {
  FirstLook look;
  const Robot& stated = drive.robot;
  if (const std::optional<Finding> dead = dead_counter(drive)) {
    look.spoiling.push_back(spoiling_sentence(*dead));
    return look;
  }
  const bool guessed = stated.left_out.wheels && !stated.left_out.found;
  if (guessed ? holds_returns(drive) && time_units(drive).are_seconds() : looks_sound(drive, threads)) return look;
  const std::optional<LogCheck> check = check_of(readings(), threads);
  if (!check) return look;
  Robot start = stated;
  for (const Finding& finding : check->findings) {
    if (guessed && !is_of_units(finding.fault)) continue;
    if (is_spoiling(finding, stated, check->mended)) {
      look.spoiling.push_back(spoiling_sentence(finding));
    } else if (take(finding, check->mended, start)) {
      look.notes.push_back(fmt::format("{} ({}): the mapping began with {}, which robot.yaml should have", finding.what,
                                       finding.figure, lines_of(finding)));
    }
  }
  if (!look.spoiling.empty()) {
    look.notes.clear();
  } else if (!look.notes.empty()) {
    look.start = start;
  }
  return look;
}

}  // namespace wainscot
