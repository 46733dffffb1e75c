#include "io/page/map_figure.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <iterator>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <opencv2/imgproc.hpp>

#include "io/draw/map_picture.hpp"
#include "io/number_text.hpp"
#include "io/packed_numbers.hpp"
#include "io/results/line_account.hpp"

namespace wainscot {
namespace {

/// The points of an SVG polyline in metres, y downwards; points that change the line by less than 5 mm are left out
/// (Douglas and Peucker 1973).
std::string polyline_points(const std::vector<TrajectoryRow>& trajectory, Pose2 TrajectoryRow::*pose_of_row) {
  std::vector<cv::Point2f> all;
  all.reserve(trajectory.size());
  for (const TrajectoryRow& row : trajectory) {
    const Pose2& pose = row.*pose_of_row;
    all.emplace_back(static_cast<float>(pose.x_m), static_cast<float>(-pose.y_m));
  }
  std::vector<cv::Point2f> kept;
  if (!all.empty()) cv::approxPolyDP(all, kept, 0.005, false);
  std::string text;
  for (const cv::Point2f& point : kept) {
    fmt::format_to(std::back_inserter(text), "{},{} ", short_text(static_cast<double>(point.x), 3),
                   short_text(static_cast<double>(point.y), 3));
  }
  if (!text.empty()) text.pop_back();
  return text;
}

/// One line a drive.
std::string path_polylines(const std::vector<TrajectoryRow>& trajectory, Pose2 TrajectoryRow::*pose_of_row,
                           const char* classes) {
  std::string html;
  for (auto first = trajectory.begin(); first != trajectory.end();) {
    const int drive = first->drive;
    const auto last = std::find_if(first, trajectory.end(), [drive](const auto& row) { return row.drive != drive; });
    html += fmt::format("<polyline class=\"{}\" points=\"{}\"/>", classes, polyline_points({first, last}, pose_of_row));
    first = last;
  }
  return html;
}

/// The floor that the picture shows, metres: the grid, and odometry's path as far as a quarter of the grid's larger
/// side beyond it.
struct Window {
  double left = 0.0;
  double right = 0.0;
  double bottom = 0.0;
  double top = 0.0;
  bool cuts_odometry = false;
};

Window picture_window(const Map& map) {
  const GridFrame& frame = map.grid.frame;
  const Eigen::Vector2d corner = frame.lower_left_corner_m();
  const Eigen::Vector2d size(frame.columns * frame.cell_size_m, frame.rows * frame.cell_size_m);
  const Eigen::Vector2d limit_low = corner.array() - 0.25 * size.maxCoeff();
  const Eigen::Vector2d limit_high = corner.array() + size.array() + 0.25 * size.maxCoeff();
  Eigen::Vector2d low = corner;
  Eigen::Vector2d high = corner + size;
  for (const TrajectoryRow& row : map.trajectory) {
    low = low.cwiseMin(row.odometry.translation());
    high = high.cwiseMax(row.odometry.translation());
  }
  const bool cuts = (low.array() < limit_low.array()).any() || (high.array() > limit_high.array()).any();
  low = low.cwiseMax(limit_low);
  high = high.cwiseMin(limit_high);
  return {low.x(), high.x(), low.y(), high.y(), cuts};
}

std::string dot(const Pose2& pose, const char* classes, const char* title) {
  return fmt::format("<path class=\"{}\" d=\"M{} {}h0\"><title>{}</title></path>\n", classes, short_text(pose.x_m, 3),
                     short_text(-pose.y_m, 3), title);
}

/// The switches of what the map shows. Those of `scripted` layers are filled in by the script.
std::string layer_switches() {
  struct Layer {
    const char* id;
    const char* key;
    const char* label;
    bool shown;
    bool scripted;
  };
  constexpr std::array<Layer, 7> layers = {{{"path", "path", "path found", true, false},
                                            {"odometry", "odometry", "odometry alone", true, false},
                                            {"scan", "scan", "scan", true, true},
                                            {"changes", "change", "doors and moved things", true, true},
                                            {"passing", "passing", "people and other things that passed", false, true},
                                            {"sure", "sure", "uncertainty (95 %)", false, true},
                                            {"closures", "closure", "loop closures", false, true}}};
  std::string html = "<fieldset class=\"bar layers\"><legend>What the map shows</legend>\n";
  for (const Layer& layer : layers) {
    const std::string text_id = std::string(layer.id) == "passing" ? " id=\"passing-count\""
                                : std::string(layer.id) == "sure"  ? " id=\"sure-label\""
                                                                   : "";
    fmt::format_to(std::back_inserter(html),
                   "<label{}><input type=\"checkbox\" id=\"show-{}\"{}/><span class=\"key {}\"></span><span{}>{}</span>"
                   "</label>\n",
                   layer.scripted ? " class=\"script-only\"" : "", layer.id, layer.shown ? " checked=\"checked\"" : "",
                   layer.key, text_id, layer.label);
  }
  return html + "</fieldset>\n";
}

/// Paths, robots and measures over the grid. What has an id is drawn by the script.
std::string map_layers(const Map& map) {
  std::string html = fmt::format(
      "<g class=\"odometry-layer\">{}</g>\n"
      "<g class=\"path-layer\">{}\n",
      path_polylines(map.trajectory, &TrajectoryRow::odometry, "odometry"),
      path_polylines(map.trajectory, &TrajectoryRow::pose, "path"));
  if (!map.trajectory.empty()) {
    html += dot(map.trajectory.back().pose, "dot end", "end") + dot(map.trajectory.front().pose, "dot", "start");
  }
  return html + R"(</g>
<g class="sure-layer"><path id="sure" class="sure"/></g>
<g class="closure-layer"><path id="closures" class="closure"/></g>
<g class="change-layer" id="changes"></g>
<g class="passing-layer"><path id="passing" class="passing"/></g>
<g class="scan-layer"><path id="scan" class="scan"/></g>
<g class="odometry-layer"><path id="odometry-robot" class="robot odometry"/></g>
<g class="path-layer"><path id="robot" class="robot"/></g>
<g id="tape-layer"></g>
<path id="cross" class="cross"/>
)";
}

std::string map_svg(const Map& map, const Window& window) {
  const GridFrame& frame = map.grid.frame;
  const double width_m = std::max(1e-3, window.right - window.left);
  const double height_m = std::max(1e-3, window.top - window.bottom);
  const auto metres = [](double value) { return short_text(value, 4); };
  std::string html = fmt::format(
      "<svg id=\"map-svg\" viewBox=\"{} {} {} {}\" style=\"--width:{}px;aspect-ratio:{}\" role=\"img\" "
      "aria-label=\"Map with the path found and the path by odometry alone\">\n",
      metres(window.left), metres(-window.top), metres(width_m), metres(height_m), metres(width_m),
      short_text(width_m / height_m, 4));
  const Eigen::Vector2d corner = frame.lower_left_corner_m();
  fmt::format_to(std::back_inserter(html),
                 "<image class=\"grid\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\" "
                 "style=\"image-rendering:pixelated\" href=\"data:image/png;base64,{}\"/>\n",
                 metres(corner.x()), metres(-corner.y() - frame.rows * frame.cell_size_m),
                 metres(frame.columns * frame.cell_size_m), metres(frame.rows * frame.cell_size_m),
                 base64(grid_png(map.grid)));
  html += map_layers(map);
  const double bar_m = scale_bar_m(width_m);
  const double bar_x = window.left + 0.02 * width_m;
  const double bar_y = -window.bottom - 0.02 * std::max(width_m, height_m);
  fmt::format_to(std::back_inserter(html),
                 "<path id=\"scale-bar\" class=\"scale\" d=\"M{} {}h{}\"/>"
                 "<text id=\"scale-text\" class=\"bar-text\" x=\"{}\" y=\"{}\">{} m</text>\n</svg>\n",
                 metres(bar_x), metres(bar_y), metres(bar_m), metres(bar_x), metres(bar_y - 0.01 * width_m),
                 short_text(bar_m, 3));
  return html;
}

constexpr const char* map_tools = R"(<div class="bar script-only">
<button type="button" id="tape" aria-pressed="false" aria-controls="tape-panel">Tape measure</button>
<button type="button" id="zoom-in" aria-label="Zoom in">+</button>
<button type="button" id="zoom-out" aria-label="Zoom out">−</button>
<button type="button" id="zoom-fit">Whole map</button>
</div>
<div id="tape-panel" class="script-only" hidden="hidden">
<p id="tape-answer" role="status" class="said"></p><p id="tape-basis" class="said soft"></p>
<form id="tape-form" class="bar">
<label>first wall near x <input id="tape-x1" type="number" step="any"/> m</label>
<label>y <input id="tape-y1" type="number" step="any" aria-label="first wall, y"/> m</label>
<label>second near x <input id="tape-x2" type="number" step="any"/> m</label>
<label>y <input id="tape-y2" type="number" step="any" aria-label="second wall, y"/> m</label>
<button type="submit">Measure</button><button type="button" id="tape-clear">Clear</button></form>
</div>
)";

constexpr const char* time_tools = R"(<div class="script-only">
<div class="bar" id="time-tools"><button type="button" id="play">Play</button>
<label for="time">Time</label><input type="range" id="time" min="0" max="0" step="1" value="0"/></div>
<p id="moment" class="said"></p>
<p id="moment-fit" class="said soft"></p>
</div>
)";

constexpr const char* map_help = R"(<details class="script-only"><summary>How to use the map</summary>
<ul><li>Drag to move it once it is zoomed in; pinch, or hold Ctrl and turn the wheel, to zoom.</li>
<li>Tape measure: click one wall, then another. The distance is that between wall faces as all scans together place them, not between pixels.</li>
<li>By keyboard: Tab to the map, then arrows, + and −, 0 for all of it; with the tape measure on, Enter marks the wall under the cross in the middle, Escape clears.</li>
<li>The ellipses hold the true place with 95 %, each against the robot's first place.</li>
<li>Things that passed: several neighbouring returns of a scan where other scans saw free floor.</li></ul></details>
)";

std::string axes_text(const Map& map, FrameSetBy frame) {
  switch (frame) {
    case FrameSetBy::walls:
      return "x points right and y up, along most of the walls, from the robot's first place";
    case FrameSetBy::user:
      return "x points right and y up, in the frame that was given with --origin";
    case FrameSetBy::survey:
      return fmt::format("x points right and y up, in the frame of {}", survey_file(map));
    case FrameSetBy::first_scan:
      break;
  }
  return "x points right and y up, from the robot's first place";
}

}  // namespace

std::string map_figure(const Map& map, FrameSetBy frame) {
  const Window window = picture_window(map);
  std::string html = std::string("<figure id=\"map\">\n") + map_tools;
  html += "<div id=\"map-view\" role=\"application\" aria-label=\"Map: move, zoom and measure\">\n" +
          map_svg(map, window) + "</div>\n";
  html += time_tools + layer_switches() + map_help;
  fmt::format_to(std::back_inserter(html),
                 "<figcaption>Walls are drawn strong, free floor plain, what was never seen is grey; a cell is {}. The "
                 "coloured dot is the start, the plain one the end.{} {}.</figcaption>\n<noscript><p>Zoom, tape "
                 "measure and the time slider need JavaScript; the map and "
                 "all figures do not.</p></noscript>\n</figure>\n",
                 length_text(map.grid.frame.cell_size_m),
                 window.cuts_odometry ? " The path by odometry alone leaves the picture." : "", axes_text(map, frame));
  return html;
}

}  // namespace wainscot
