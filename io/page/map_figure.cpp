#include "io/page/map_figure.hpp"

#include <algorithm>
#include <cstddef>
#include <iterator>
#include <map>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <opencv2/imgproc.hpp>

#include "io/draw/cell_outlines.hpp"
#include "io/draw/map_picture.hpp"
#include "io/draw/palette.hpp"
#include "io/draw/picture_window.hpp"
#include "io/draw/sureness.hpp"
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

using Rows = std::vector<TrajectoryRow>;

/// The trajectory of each drive.
std::vector<Rows> rows_of_drives(const Rows& trajectory) {
  std::vector<Rows> drives;
  for (const TrajectoryRow& row : trajectory) {
    if (drives.empty() || drives.back().front().drive != row.drive) drives.emplace_back();
    drives.back().push_back(row);
  }
  return drives;
}

std::string polyline(const std::string& classes, const std::string& points) {
  return fmt::format("<polyline class=\"{}\" points=\"{}\"/>", classes, points);
}

/// The floor that the picture shows, and whether odometry's path leaves it.
struct ShownFloor : PictureWindow {
  bool cuts_odometry = false;
};

ShownFloor shown_floor(const Map& map) {
  const GridFrame& frame = map.grid.frame;
  const Eigen::Vector2d corner = frame.lower_left_corner_m();
  ShownFloor floor;
  floor.include(corner);
  floor.include(corner + frame.cell_size_m * Eigen::Vector2d(frame.columns, frame.rows));
  std::vector<Pose2> odometry;
  for (const TrajectoryRow& row : map.trajectory) odometry.push_back(row.odometry);
  floor.cuts_odometry = widen_for_paths(floor, {odometry});
  return floor;
}

struct Layer {
  std::string id;
  std::string keys;  ///< classes of its keys
  std::string label;
  bool shown = false;
  bool scripted = false;      ///< filled in by the script
  std::string label_id = {};  ///< where the script says more
};

std::vector<Layer> layers_of(const Map& map, Grade grade, const std::vector<WarningPlace>& places) {
  const std::size_t drives = rows_of_drives(map.trajectory).size();
  std::string path_keys;
  for (std::size_t drive = 1; drive <= std::min<std::size_t>(std::max<std::size_t>(1, drives), 3); ++drive) {
    path_keys += (drive == 1 ? "" : " ") + std::string(colour_of_drive(drive));
  }
  std::vector<Layer> layers = {
      {"path", path_keys, drives > 1 ? "paths found, drive by drive" : "path found", true, false},
      {"odometry", "odometry", "odometry alone", true, false},
      {"sureness", "sureness", "how sure each place is", grade != Grade::good, false}};
  if (!places.empty()) layers.push_back({"places", "place", "where warnings happened", true, false});
  layers.push_back({"scan", "scan", "scan", true, true});
  layers.push_back({"changes", drives > 1 ? "change new gone" : "change",
                    drives > 1 ? "doors and moved things; new; gone" : "doors and moved things", true, true});
  layers.push_back({"passing", "passing", "people and other things that passed", false, true, "passing-count"});
  layers.push_back({"sure", "sure", "uncertainty (95 %)", false, true, "sure-label"});
  layers.push_back({"closures", "closure", "loop closures", false, true});
  return layers;
}

/// The switches of what the map shows.
std::string layer_switches(const Map& map, Grade grade, const std::vector<WarningPlace>& places) {
  std::string html = "<fieldset class=\"bar layers\"><legend>What the map shows</legend>\n";
  for (const Layer& layer : layers_of(map, grade, places)) {
    fmt::format_to(std::back_inserter(html), "<label{}><input type=\"checkbox\" id=\"show-{}\"{}/>",
                   layer.scripted ? " class=\"script-only\"" : "", layer.id, layer.shown ? " checked=\"checked\"" : "");
    for (std::size_t at = 0; at < layer.keys.size();) {
      const std::size_t end = std::min(layer.keys.find(' ', at), layer.keys.size());
      html += "<span class=\"key " + layer.keys.substr(at, end - at) + "\"></span>";
      at = end + 1;
    }
    html += "<span" + (layer.label_id.empty() ? "" : " id=\"" + layer.label_id + "\"") + ">" + layer.label +
            "</span></label>\n";
  }
  return html + "</fieldset>\n";
}

std::string sureness_legend(Grade grade, const std::vector<PlanArea>& levels) {
  std::string html = "<p class=\"levels\">";
  if (grade == Grade::unusable) {
    return html + "How sure a place is cannot be told: this map is not to be used.</p>\n";
  }
  html += "<span>Standard uncertainty of a place:</span>";
  for (const PlanArea& level : levels) {
    html += fmt::format("<span class=\"level {}\">{}</span>", level.classes, level.name);
  }
  return html + "</p>\n";
}

std::string sureness_layer(const std::vector<PlanArea>& levels) {
  std::string html = "<g class=\"sureness-layer\">";
  for (const PlanArea& level : levels) {
    std::string data;
    for (const CellOutline& outline : cell_outlines(level.marked, level.frame.columns, level.frame.rows)) {
      for (std::size_t i = 0; i < outline.size(); ++i) {
        const Eigen::Vector2d at =
            level.frame.lower_left_corner_m() + level.frame.cell_size_m * outline[i].cast<double>();
        data += fmt::format("{}{} {}", i == 0 ? "M" : "L", short_text(at.x(), 3), short_text(-at.y(), 3));
      }
      data += "z";
    }
    if (!data.empty()) html += fmt::format("<path class=\"{}\" d=\"{}\"/>", level.classes, data);
  }
  return html + "</g>\n";
}

/// Each warning's stretches, and its number at the longest of them.
std::string place_layer(const std::vector<WarningPlace>& places) {
  std::string html = "<g class=\"place-layer\">";
  std::map<std::size_t, const WarningPlace*> longest;
  for (const WarningPlace& place : places) {
    std::string points;
    for (const Eigen::Vector2d& at : place.line_m) {
      points += fmt::format("{}{},{}", points.empty() ? "" : " ", short_text(at.x(), 3), short_text(-at.y(), 3));
    }
    if (place.line_m.size() == 1) points += " " + points;
    fmt::format_to(std::back_inserter(html), "<polyline class=\"place\" data-warning=\"{}\" points=\"{}\"/>",
                   place.warning, points);
    const WarningPlace*& kept = longest[place.warning];
    if (kept == nullptr || kept->line_m.size() < place.line_m.size()) kept = &place;
  }
  for (const auto& [warning, place] : longest) {
    const Eigen::Vector2d at = place->line_m[place->line_m.size() / 2];
    fmt::format_to(std::back_inserter(html),
                   "<g class=\"badge\" data-warning=\"{0}\"><title>warning {1}</title><circle cx=\"{2}\" cy=\"{3}\" "
                   "r=\"0.2\"/><text x=\"{2}\" y=\"{3}\">{1}</text></g>",
                   warning, warning + 1, short_text(at.x(), 3), short_text(-at.y(), 3));
  }
  return html + "</g>\n";
}

/// The end of the last drive, and rings at the starts, which the arrow of the robot leaves open. The script keeps
/// them as large as the arrow.
std::string starts_and_end(const std::vector<Rows>& drives, double width_m) {
  if (drives.empty()) return "";
  const Pose2& end = drives.back().back().pose;
  std::string html = fmt::format("<path class=\"dot end\" d=\"M{} {}h0\"><title>end</title></path>\n",
                                 short_text(end.x_m, 3), short_text(-end.y_m, 3));
  for (std::size_t i = 0; i < drives.size(); ++i) {
    const Pose2& start = drives[i].front().pose;
    const std::string x = short_text(start.x_m, 3);
    const std::string y = short_text(-start.y_m, 3);
    html += fmt::format("<circle class=\"start {}\" cx=\"{}\" cy=\"{}\" r=\"{}\"><title>start</title></circle>\n",
                        colour_of_drive(i + 1), x, y, short_text(0.02 * width_m, 3));
    if (drives.size() < 2) continue;
    html += fmt::format("<text class=\"start-text\" x=\"{}\" y=\"{}\">{}</text>\n",
                        short_text(start.x_m + 0.025 * width_m, 3), y, i + 1);
  }
  return html;
}

/// Paths, robots and measures over the grid. What has an id is drawn by the script.
std::string map_layers(const Map& map, const std::vector<WarningPlace>& places, double width_m) {
  const std::vector<Rows> drives = rows_of_drives(map.trajectory);
  std::string casing;
  std::string paths;
  std::string odometry;
  for (std::size_t i = 0; i < drives.size(); ++i) {
    const std::string points = polyline_points(drives[i], &TrajectoryRow::pose);
    casing += polyline("casing", points);
    paths += polyline(std::string(colour_of_drive(i + 1)), points);
    odometry += polyline("odometry", polyline_points(drives[i], &TrajectoryRow::odometry));
  }
  std::string html = place_layer(places);
  html += fmt::format("<g class=\"odometry-layer\">{}</g>\n<g class=\"path-layer\">{}{}\n", odometry, casing, paths);
  return html + starts_and_end(drives, width_m) + R"(</g>
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

/// The grid, and smaller pictures of it that keep its walls where it is shown so small that a cell has no pixel. The
/// script shows the one that fits; without it, the largest of less than 700 pixels.
std::string grid_images(const OccupancyGrid& grid) {
  constexpr std::int32_t smallest_px = 300;
  constexpr std::int32_t shown_px = 700;
  const std::int32_t size = std::max(grid.frame.columns, grid.frame.rows);
  const double cell_m = grid.frame.cell_size_m;
  const Eigen::Vector2d corner = grid.frame.lower_left_corner_m();
  const auto metres = [](double value) { return short_text(value, 4); };
  std::string html;
  bool is_shown = false;
  for (std::int32_t cells = 1; cells == 1 || size / cells >= smallest_px; cells *= 2) {
    const auto side_m = [&](std::int32_t count) { return (count + cells - 1) / cells * cells * cell_m; };
    const bool shows = !is_shown && (size / cells <= shown_px || size / (2 * cells) < smallest_px);
    is_shown = is_shown || shows;
    fmt::format_to(std::back_inserter(html),
                   "<image class=\"grid\" data-cells=\"{}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" "
                   "preserveAspectRatio=\"none\" style=\"image-rendering:pixelated{}\" "
                   "href=\"data:image/png;base64,{}\"/>\n",
                   cells, metres(corner.x()), metres(-corner.y() - grid.frame.rows * cell_m),
                   metres(side_m(grid.frame.columns)), metres(side_m(grid.frame.rows)), shows ? "" : ";display:none",
                   base64(grid_png(grid, cells)));
  }
  return html;
}

std::string map_svg(const Map& map, const std::vector<PlanArea>& levels, const std::vector<WarningPlace>& places,
                    const ShownFloor& floor) {
  const double width_m = std::max(1e-3, floor.size_m().x());
  const double height_m = std::max(1e-3, floor.size_m().y());
  const auto metres = [](double value) { return short_text(value, 4); };
  std::string html = fmt::format(
      "<svg id=\"map-svg\" viewBox=\"{} {} {} {}\" style=\"--width:{}px;aspect-ratio:{}\" role=\"img\" "
      "aria-label=\"Map with the path found and the path by odometry alone\">\n",
      metres(floor.low_m.x()), metres(-floor.high_m.y()), metres(width_m), metres(height_m), metres(width_m),
      short_text(width_m / height_m, 4));
  html += grid_images(map.grid) + sureness_layer(levels) + map_layers(map, places, width_m);
  const double bar_m = scale_bar_m(width_m);
  const double bar_x = floor.low_m.x() + 0.02 * width_m;
  const double bar_y = -floor.low_m.y() - 0.02 * std::max(width_m, height_m);
  fmt::format_to(std::back_inserter(html),
                 "<path id=\"scale-halo\" class=\"scale halo\" d=\"M{0} {1}h{2}\"/><path id=\"scale-bar\" "
                 "class=\"scale\" d=\"M{0} {1}h{2}\"/><text id=\"scale-text\" class=\"bar-text\" x=\"{0}\" "
                 "y=\"{3}\">{4} m</text>\n</svg>\n",
                 metres(bar_x), metres(bar_y), metres(bar_m), metres(bar_y - 0.01 * width_m), short_text(bar_m, 3));
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

std::string map_figure(const Map& map, FrameSetBy frame, Grade grade, const std::vector<WarningPlace>& places) {
  const ShownFloor floor = shown_floor(map);
  const std::vector<PlanArea> levels = sureness_areas(map, grade != Grade::unusable);
  std::string html = std::string("<figure id=\"map\">\n") + map_tools;
  html += "<div id=\"map-view\" role=\"application\" aria-label=\"Map: move, zoom and measure\">\n" +
          map_svg(map, levels, places, floor) + "</div>\n";
  html += time_tools + layer_switches(map, grade, places) + sureness_legend(grade, levels) + map_help;
  fmt::format_to(std::back_inserter(html),
                 "<figcaption>Walls are drawn strong, free floor plain, what was never seen is grey; a cell is {}. The "
                 "ring is the start, the plain dot the end.{} {}.</figcaption>\n<noscript><p>Zoom, tape "
                 "measure and the time slider need JavaScript; the map and "
                 "all figures do not.</p></noscript>\n</figure>\n",
                 length_text(map.grid.frame.cell_size_m),
                 floor.cuts_odometry ? " The path by odometry alone leaves the picture." : "", axes_text(map, frame));
  return html;
}

}  // namespace wainscot
