#include "io/page/location_page.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>
#include <numbers>
#include <utility>

#include <fmt/format.h>

#include "io/draw/palette.hpp"
#include "io/draw/plan_svg.hpp"
#include "io/draw/time_panels.hpp"
#include "io/markup.hpp"
#include "io/number_text.hpp"
#include "io/page/files.hpp"
#include "io/page/page_frame.hpp"

namespace wainscot {
namespace {

constexpr double kWidePx = 860.0;  ///< as the pictures of a comparison
constexpr double kNarrowPx = 360.0;

const char* meaning_of(Answer answer) { return answer == Answer::found ? "path" : "path-2"; }

const char* legend_of(Answer answer) { return answer == Answer::found ? "found" : "ambiguous: the likeliest place"; }

std::string path_picture(const OccupancyGrid& grid, const std::vector<LocatedScan>& located, const LocationPage& page,
                         double width_px) {
  PlanDrawing drawing;
  drawing.title = "The way over the map";
  drawing.simulated = page.simulated;
  drawing.width_px = width_px;
  drawing.areas = plan_areas(grid);
  bool told[] = {false, false};  // in the legend
  for (const AnswerStretch& stretch : answer_stretches(located)) {
    if (stretch.answer == Answer::lost) continue;
    bool& is_told = told[stretch.answer == Answer::found ? 0 : 1];
    PlanPath path{std::exchange(is_told, true) ? "" : legend_of(stretch.answer), meaning_of(stretch.answer), {}};
    for (std::size_t i = stretch.first; i <= stretch.last; ++i) {
      path.poses.push_back(located[i].location.places.front().pose);
    }
    drawing.paths.push_back(std::move(path));
  }
  return plan_svg(drawing, SvgUse::page);
}

PanelBars bars_of(const std::vector<LocatedScan>& located, Answer answer) {
  PanelBars bars{answer_text(answer), {}, {}};
  for (const AnswerStretch& stretch : answer_stretches(located)) {
    if (stretch.answer != answer) continue;
    bars.begin_s.push_back(located[stretch.first].time_s);
    // Up to the next scan: the answer holds until there is another one.
    bars.end_s.push_back(located[std::min(stretch.last + 1, located.size() - 1)].time_s);
  }
  return bars;
}

std::string time_picture(const std::vector<LocatedScan>& located, double width_px) {
  TimePanels panels;
  panels.title = "When, and how sure";
  panels.width_px = width_px;
  panels.begin_s = located.front().time_s;
  panels.end_s = located.back().time_s;
  TimePanel answers;
  answers.title = "answer";
  for (const Answer answer : {Answer::found, Answer::ambiguous, Answer::lost}) {
    answers.bars.push_back(bars_of(located, answer));
  }
  TimePanel place;
  place.title = "standard deviation of the place, mm";
  TimePanel heading;
  heading.title = "standard deviation of the heading, degrees";
  PanelSeries sd{"place", {}, {}, "path"};
  PanelSeries sd_heading{"heading", {}, {}, "path"};
  for (const LocatedScan& scan : located) {
    const bool found = scan.location.answer == Answer::found;
    const Eigen::Vector3d here = found ? scan.location.places.front().sd_in_map() : Eigen::Vector3d::Zero();
    sd.time_s.push_back(scan.time_s);
    sd_heading.time_s.push_back(scan.time_s);
    constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
    sd.value.push_back(found ? 1000.0 * here.head<2>().norm() : kNone);
    sd_heading.value.push_back(found ? here[2] * 180.0 / std::numbers::pi : kNone);
  }
  place.series = {std::move(sd)};
  heading.series = {std::move(sd_heading)};
  panels.panels = {std::move(answers), std::move(place), std::move(heading)};
  return svg_time_panels(panels, SvgUse::page);
}

double share_of(const std::vector<LocatedScan>& located, Answer answer) {
  const auto count = std::count_if(located.begin(), located.end(),
                                   [answer](const LocatedScan& scan) { return scan.location.answer == answer; });
  return static_cast<double>(count) / static_cast<double>(located.size());
}

std::string lead(const std::vector<LocatedScan>& located, const LocationPage& page) {
  std::string html = fmt::format(
      "<p class=\"lead\">On {} the robot was found in {} at {} of {}; at {} several places fitted or too little was "
      "seen to be sure, at {} nothing in the map fitted.</p>\n",
      html_text(page.drive), html_text(page.map), percent_text(share_of(located, Answer::found)),
      count_text(located.size(), "scan"), percent_text(share_of(located, Answer::ambiguous)),
      percent_text(share_of(located, Answer::lost)));
  const auto first = std::find_if(located.begin(), located.end(),
                                  [](const LocatedScan& scan) { return scan.location.answer == Answer::found; });
  if (first != located.end()) {
    html += fmt::format("<p>It was first found {} after the first scan.</p>\n",
                        duration_text(first->time_s - located.front().time_s));
  }
  if (page.simulated) html += kSimulatedNote;
  return html;
}

/// When and where the answer was another one.
std::string stretch_table(const std::vector<LocatedScan>& located) {
  constexpr std::size_t kMostRows = 200;  // more are no table that anybody reads; the CSV has all
  const std::vector<AnswerStretch> stretches = answer_stretches(located);
  std::string html = R"(<h2>Stretches</h2>
<div class="table" tabindex="0" role="region" aria-label="Stretches"><table><thead><tr><th scope="col" class="n">from, s</th><th scope="col" class="n">to, s</th><th scope="col">answer</th><th scope="col" class="n">begins at x, y, m</th></tr></thead><tbody>
)";
  for (std::size_t i = 0; i < std::min(kMostRows, stretches.size()); ++i) {
    const LocatedScan& first = located[stretches[i].first];
    const std::string where = first.location.places.empty()
                                  ? "nowhere"
                                  : fmt::format("{}, {}", fixed_text(first.location.places.front().pose.x_m, 2),
                                                fixed_text(first.location.places.front().pose.y_m, 2));
    fmt::format_to(std::back_inserter(html),
                   "<tr><td class=\"n\">{}</td><td class=\"n\">{}</td><td>{}</td><td class=\"n\">{}</td></tr>\n",
                   fixed_text(first.time_s, 1), fixed_text(located[stretches[i].last].time_s, 1),
                   answer_text(stretches[i].answer), where);
  }
  html += "</tbody></table></div>\n";
  if (stretches.size() > kMostRows) {
    html += fmt::format("<p>and {} more.</p>\n", whole_text(stretches.size() - kMostRows));
  }
  return html;
}

}  // namespace

std::vector<AnswerStretch> answer_stretches(const std::vector<LocatedScan>& located) {
  std::vector<AnswerStretch> stretches;
  for (std::size_t i = 0; i < located.size(); ++i) {
    const Answer answer = located[i].location.answer;
    if (stretches.empty() || stretches.back().answer != answer) stretches.push_back({answer, i, i});
    stretches.back().last = i;
  }
  return stretches;
}

std::string location_page(const OccupancyGrid& grid, const std::vector<LocatedScan>& located,
                          const LocationPage& page) {
  const std::string title = fmt::format("Where the robot was: {} in {}", page.drive, page.map);
  std::string html = fmt::format("<header><h1>{}</h1></header>\n<main>\n", html_text(title));
  html += lead(located, page);
  html += "<div class=\"pictures\">\n";
  html +=
      picture_figure("way", path_picture(grid, located, page, kWidePx), path_picture(grid, located, page, kNarrowPx),
                     "Where nothing in the map fitted, the way is not drawn.");
  html +=
      picture_figure("when", time_picture(located, kWidePx), time_picture(located, kNarrowPx),
                     "The answer of each moment, and how sure it was; a gap is a time without an answer that is sure.");
  html += "</div>\n" + stretch_table(located);
  html += caution_and_footer(page.program_version);
  const std::string style = std::string(svg_style) + std::string(comparison_css());
  PageParts parts;
  parts.title = title;
  parts.body = std::move(html);
  parts.style = style;
  return framed_page(parts);
}

}  // namespace wainscot
