#include "io/page/report_page.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <iterator>
#include <vector>

#include <fmt/format.h>
#include <opencv2/imgproc.hpp>

#include "graph/edge_residuals.hpp"
#include "io/draw/map_picture.hpp"
#include "io/markup.hpp"
#include "io/number_text.hpp"
#include "io/packed_numbers.hpp"
#include "io/page/files.hpp"
#include "io/page/page_frame.hpp"
#include "io/page/report_data.hpp"
#include "io/results/marker_account.hpp"
#include "io/time_line.hpp"
#include "io/warnings.hpp"

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

const char* axes_text(FrameSetBy frame) {
  switch (frame) {
    case FrameSetBy::walls:
      return "x points right and y up, along most of the walls, from the robot's first place";
    case FrameSetBy::user:
      return "x points right and y up, in the frame that was given with --origin";
    case FrameSetBy::survey:
      return "x points right and y up, in the frame of marker_map.csv";
    case FrameSetBy::first_scan:
      break;
  }
  return "x points right and y up, from the robot's first place";
}

std::string map_figure(const Map& map, const MapOrigin& origin) {
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
                 window.cuts_odometry ? " The path by odometry alone leaves the picture." : "",
                 axes_text(origin.frame));
  return html;
}

/// The drives' names, "a, b and c".
std::string names_text(Drives drives) {
  std::string text;
  for (std::size_t i = 0; i < drives.size(); ++i) {
    text += (i == 0 ? "" : i + 1 == drives.size() ? " and " : ", ") + html_text(drives[i].name);
  }
  return text;
}

/// What each drive of several gave, and how its times are told on this page.
std::string share_list(const Map& map, Drives drives) {
  if (map.shares.size() < 2) return "";
  const std::vector<double> shifts_s = time_shifts_s(map.trajectory);
  std::string html = "<ul class=\"soft\">\n";
  for (std::size_t i = 0; i < map.shares.size(); ++i) {
    const DriveShare& share = map.shares[i];
    const auto first = std::find_if(map.trajectory.begin(), map.trajectory.end(),
                                    [i](const TrajectoryRow& row) { return row.drive == static_cast<int>(i) + 1; });
    const std::string shift =
        i == 0 || first == map.trajectory.end()
            ? ""
            : fmt::format("; it begins at {} s of its clock, {} s on this page", fixed_text(first->time_s, 1),
                          fixed_text(first->time_s + shifts_s[i], 1));
    fmt::format_to(std::back_inserter(html), "<li>Drive {}, {}: {} in {}, {}{}</li>\n", i + 1,
                   html_text(drives[i].name), length_text(share.path_length_m), duration_text(share.duration_s),
                   count_text(static_cast<std::size_t>(share.scans_used), "scan"), shift);
  }
  return html + "</ul>\n";
}

std::string heading(const Map& map, Drives drives, const MapOrigin& origin) {
  const Quality& quality = map.quality;
  std::string html =
      fmt::format("<h1>Map of {}</h1>\n<p class=\"soft\">{} driven in {}, {} used</p>\n", names_text(drives),
                  length_text(quality.path_length_m), duration_text(quality.duration_s),
                  count_text(static_cast<std::size_t>(quality.scans_used), "scan"));
  html += share_list(map, drives);
  std::string marks;
  if (origin.simulated) marks += "<span class=\"mark\">simulated drive</span>";
  if (!origin.loops_closed) marks += "<span class=\"mark\">made without loop closure</span>";
  if (!marks.empty()) html += "<p>" + marks + "</p>\n";
  return html;
}

/// How large the seen part of the house is.
std::string size_sentence(const OccupancyGrid& grid) {
  int left = grid.frame.columns;
  int right = -1;
  int low = grid.frame.rows;
  int high = -1;
  std::size_t free_cells = 0;
  for (int row = 0; row < grid.frame.rows; ++row) {
    for (int column = 0; column < grid.frame.columns; ++column) {
      const float p = grid.probability[static_cast<std::size_t>(row) * static_cast<std::size_t>(grid.frame.columns) +
                                       static_cast<std::size_t>(column)];
      if (std::isnan(p)) continue;
      left = std::min(left, column);
      right = std::max(right, column);
      low = std::min(low, row);
      high = std::max(high, row);
      if (p < 0.5F) ++free_cells;
    }
  }
  if (right < 0) return "";
  const double cell_m = grid.frame.cell_size_m;
  return fmt::format("<p>What was seen is {} wide (along x) and {} high (along y), with {} m² of free floor.</p>\n",
                     length_text((right - left + 1) * cell_m), length_text((high - low + 1) * cell_m),
                     fixed_text(static_cast<double>(free_cells) * cell_m * cell_m, 1));
}

/// What to do about a warning that does not say it itself; "" for those that do.
std::string advice(const std::string& warning) {
  struct Advice {
    const char* part;
    const char* text;
  };
  constexpr std::array<Advice, 4> known = {{
      {"outside of odometry's times", "Start recording the wheels before the lidar, and stop them after it."},
      {"odometry went wrong by",
       "Look at the map there: if walls stand twice, drive that part once more without lifting "
       "the robot and more slowly over thresholds."},
      {"the walls told nothing of one direction",
       "Check one distance along that way with a tape, or put something with "
       "corners, a box or a chair, where the walls are bare."},
      {"an unfinished last row", "Nothing is to be done: one row more or less does not matter."},
  }};
  for (const Advice& a : known) {
    if (warning.find(a.part) != std::string::npos) return a.text;
  }
  return "";
}

std::string warning_list(const std::vector<std::string>& warnings) {
  if (warnings.empty()) return "<h3>Warnings</h3>\n<p>None.</p>\n";
  std::string html = "<h3>Warnings, and what to do</h3>\n<ul class=\"warnings\">\n";
  for (const std::string& warning : warnings) {
    const std::string what_to_do = advice(warning);
    html += "<li>" + html_text(warning) +
            (what_to_do.empty() ? "" : ". <strong>" + html_text(what_to_do) + "</strong>") + "</li>\n";
  }
  return html + "</ul>\n";
}

std::string answer(const Map& map, Drives drives, const MapOrigin& origin) {
  const Quality& quality = map.quality;
  std::string html = "<section aria-labelledby=\"answer\"><h2 id=\"answer\">How far to trust it</h2>\n";
  if (!quality.trustworthy()) {
    fmt::format_to(std::back_inserter(html),
                   "<p class=\"lead\">This map is not to be trusted: only {} of the returns end on its walls.</p>\n",
                   percent_text(quality.matched_fraction));
  } else {
    fmt::format_to(
        std::back_inserter(html),
        "<p class=\"lead\">A place of this map is believed to lie right within {} (one standard uncertainty, the "
        "median of {}; {} at worst), a heading within {}. The scale was set by {} and is believed right within "
        "{}.</p>\n",
        length_text(quality.position_sd_median_m), count_text(map.graph.nodes.size(), "node"),
        length_text(quality.position_sd_worst_m), angle_text(quality.heading_sd_median_rad),
        html_text(quality.scale_set_by), percent_text(quality.scale_sd));
    html +=
        "<p>To be sure, measure one long distance from wall to wall with a tape, and the same with this page's tape "
        "measure.</p>\n";
  }
  html += size_sentence(map.grid);
  if (origin.simulated) {
    html += "<p class=\"soft\">All figures on this page come from a simulated drive, not from a real robot.</p>\n";
  }
  return html + warning_list(all_warnings(drives, map)) + "</section>\n";
}

struct Figure {
  const char* id;  ///< as summary.json names it
  const char* name;
  std::string value;
};

std::string figure_list(const char* title, const char* what, const std::vector<Figure>& list) {
  std::string html = fmt::format("<h3>{}</h3>\n<p class=\"soft\">{}</p>\n<dl>\n", title, what);
  for (const Figure& f : list) {
    html += fmt::format("<div><dt>{}</dt><dd data-figure=\"{}\">{}</dd></div>\n", f.name, f.id, f.value);
  }
  return html + "</dl>\n";
}

std::size_t count_edges(const PoseGraph& graph, EdgeKind kind) {
  return static_cast<std::size_t>(
      std::count_if(graph.edges.begin(), graph.edges.end(), [kind](const Edge& e) { return e.kind == kind; }));
}

/// What each stage took and gave, in the order of the mapper's work.
std::string figures(const Map& map) {
  const Quality& q = map.quality;
  const auto whole = [](int count) { return whole_text(static_cast<std::size_t>(count)); };
  const auto accepted = std::count_if(map.candidates.begin(), map.candidates.end(),
                                      [](const LoopCandidate& c) { return c.verdict == Verdict::accepted; });
  std::string html = "<section aria-labelledby=\"figures\"><h2 id=\"figures\">Stage by stage</h2>\n";
  html +=
      figure_list("Reading", "Wheels and scans on one clock.",
                  {{"path_length_m", "Path length", length_text(q.path_length_m)},
                   {"duration_s", "Duration", duration_text(q.duration_s)},
                   {"scans_used", "Scans used", count_text(static_cast<std::size_t>(q.scans_used), "scan")},
                   {"scans_outside_odometry", "Left out: outside odometry's times", whole(q.scans_outside_odometry)},
                   {"scans_without_enough_returns", "Left out: too few returns", whole(q.scans_without_enough_returns)},
                   {"scans_while_carried", "Left out: carried or sliding", whole(q.scans_while_carried)}});
  html += figure_list(
      "Matching", "Each scan against the walls seen just before it; some become nodes of the graph.",
      {{"nodes", "Nodes", whole_text(map.graph.nodes.size())},
       {"match_edges", "Matches between nodes", whole_text(count_edges(map.graph, EdgeKind::match))},
       {"odometry_edges", "Nodes that odometry alone ties", whole_text(count_edges(map.graph, EdgeKind::odometry))},
       {"way_left_open_m", "Way along which walls left a direction open", length_text(q.way_left_open_m)}});
  html += figure_list(
      "Closing loops", "Places that the robot came back to; the cost is half of χ².",
      {{"closures", "Loop closures",
        fmt::format("{} accepted of {}", accepted, count_text(map.candidates.size(), "candidate"))},
       {"cost", "Cost before and after", fixed_text(q.cost_before, 1) + " → " + fixed_text(q.cost_after, 1)},
       {"start_to_end_odometry_m", "Odometry alone ends off by", length_text(q.start_to_end_odometry_m)}});
  html += figure_list("Adjusting", "Path, wall pieces and the robot's constants together.",
                      {{"wall_pieces", "Wall pieces", whole_text(map.wall_pieces.size())},
                       {"residual_rms_m", "Returns' distance from their piece (RMS)", length_text(q.residual_rms_m)},
                       {"position_sd_median_m", "Position uncertainty, median", length_text(q.position_sd_median_m)},
                       {"position_sd_worst_m", "Position uncertainty, worst", length_text(q.position_sd_worst_m)},
                       {"heading_sd_median_rad", "Heading uncertainty, median", angle_text(q.heading_sd_median_rad)},
                       {"heading_sd_worst_rad", "Heading uncertainty, worst", angle_text(q.heading_sd_worst_rad)},
                       {"scale_sd", "Scale uncertainty", percent_text(q.scale_sd)}});
  html +=
      figure_list("Drawing", "Every beam of every scan, from its place on the path.",
                  {{"cells", "Cells of the grid", fmt::format("{} × {}", map.grid.frame.columns, map.grid.frame.rows)},
                   {"matched_fraction", "Returns on walls of the grid", percent_text(q.matched_fraction)},
                   {"changes", "Doors and things that were moved", whole_text(map.changes.size())}});
  return html + "</section>\n";
}

double quantile(std::vector<double> values, double share) {
  std::sort(values.begin(), values.end());
  return values[std::min(values.size() - 1, static_cast<std::size_t>(share * static_cast<double>(values.size())))];
}

/// One row of the table of residuals, "" where there is no edge of the kind.
std::string residual_row(const PoseGraph& graph, const std::vector<EdgeResidual>& residuals, EdgeKind kind,
                         const char* name) {
  std::vector<double> shift_m;
  std::vector<double> turn_rad;
  std::vector<double> chi_squared;
  for (std::size_t i = 0; i < residuals.size(); ++i) {
    if (graph.edges[i].kind != kind) continue;
    shift_m.push_back(residuals[i].error.head<2>().norm());
    turn_rad.push_back(std::abs(residuals[i].error.z()));
    chi_squared.push_back(residuals[i].chi_squared);
  }
  if (shift_m.empty()) return "";
  std::string html =
      fmt::format("<tr><th scope=\"row\">{}</th><td class=\"n\">{}</td>", name, whole_text(shift_m.size()));
  for (const double share : {0.5, 0.95, 1.0}) {
    fmt::format_to(std::back_inserter(html), "<td class=\"n\">{}</td><td class=\"n\">{}</td>",
                   length_text(quantile(shift_m, share)), angle_text(quantile(turn_rad, share)));
  }
  return html + fmt::format("<td class=\"n\">{}</td></tr>\n", fixed_text(quantile(chi_squared, 0.5), 2));
}

std::string residual_section(const PoseGraph& graph) {
  if (graph.edges.empty()) return "";
  const std::vector<EdgeResidual> residuals = edge_residuals(graph);
  // The median of chi squared with 3 degrees of freedom: NIST/SEMATECH e-Handbook, 1.3.6.6.6 (its quantile function).
  std::string html = R"(<section aria-labelledby="residuals"><h2 id="residuals">Residuals</h2>
<p>How far the finished map stands from what each match, closure or stretch of odometry had measured. Walls that many scans share have the last word, so a residual is what one measurement was corrected by. If measurements were as good as they say and independent, half of the χ² would lie below 2.37.</p>
<div class="table" tabindex="0" role="region" aria-label="Residuals of the graph's edges"><table><thead><tr><th scope="col">measured by</th><th scope="col" class="n">edges</th><th scope="col" class="n">median</th><th scope="col" class="n">turn</th><th scope="col" class="n">95 % below</th><th scope="col" class="n">turn</th><th scope="col" class="n">worst</th><th scope="col" class="n">turn</th><th scope="col" class="n">χ², median</th></tr></thead><tbody>
)";
  html += residual_row(graph, residuals, EdgeKind::match, "match with the walls before");
  html += residual_row(graph, residuals, EdgeKind::closure, "loop closure");
  html += residual_row(graph, residuals, EdgeKind::odometry, "odometry alone");
  html += R"(</tbody></table></div>
<div id="residuals-live" class="script-only chart">
<p class="soft">Over the drive's time; a click sets the map's time slider. Small dots: matches; larger ones: closures; squares: odometry alone.</p>
<figure><figcaption>Shift</figcaption><svg id="chart-shift" viewBox="0 0 900 230" role="img" aria-label="Each edge's residual shift over time; the table above has its median, 95 % and worst"></svg></figure>
<figure><figcaption>Turn</figcaption><svg id="chart-turn" viewBox="0 0 900 230" role="img" aria-label="Each edge's residual turn over time; the table above has its median, 95 % and worst"></svg></figure>
</div>
</section>
)";
  return html;
}

std::string constants_table(const std::vector<RefinedConstant>& constants) {
  if (constants.empty()) return "";
  std::string html = R"(<section aria-labelledby="constants"><h2 id="constants">The robot's constants</h2>
<p>What robot.yaml states, and what the drive says. A constant that the drive did not observe stays near what was stated.</p>
<div class="table" tabindex="0" role="region" aria-label="Constants"><table><thead><tr><th>constant</th><th class="n">stated</th><th class="n">found</th><th class="n">change</th><th>unit</th><th>observed</th></tr></thead><tbody>
)";
  for (const RefinedConstant& c : constants) {
    const UncertainText stated = uncertain_text(c.stated, c.stated_sd);
    const UncertainText found = uncertain_text(c.found, c.found_sd);
    fmt::format_to(std::back_inserter(html),
                   "<tr><td>{}</td><td class=\"n\">{} ± {}</td><td class=\"n\">{} ± {}</td><td "
                   "class=\"n\">{:+.2g}</td><td>{}</td><td>{}</td></tr>\n",
                   html_text(c.name), stated.value, stated.sd, found.value, found.sd, c.found - c.stated,
                   c.unit == "1" ? "" : html_text(c.unit), c.observed ? "yes" : "no");
  }
  return html + "</tbody></table></div>\n<p class=\"soft\">After ±: one standard uncertainty.</p>\n</section>\n";
}

std::string change_row(const Change& c, const std::string& last_cells) {
  return fmt::format(
      "<tr><td>{}</td><td class=\"n\">{:.2f}, {:.2f}</td><td class=\"n\">{:.2f}, {:.2f}</td><td class=\"n\">{}</td>{}"
      "</tr>\n",
      c.door ? "door" : "other thing", c.from_m.x(), c.from_m.y(), c.to_m.x(), c.to_m.y(),
      length_text((c.to_m - c.from_m).norm()), last_cells);
}

std::string changes_between_drives(const std::vector<Change>& changes) {
  std::string rows;
  for (const Change& c : changes) {
    if (c.since_drive == 0) continue;
    rows += change_row(c, fmt::format("<td>{} since drive {}</td>", c.appeared ? "there" : "gone", c.since_drive));
  }
  if (rows.empty()) return "";
  return R"(<section aria-labelledby="between-title"><h2 id="between-title">What changed between the drives</h2>
<p>What a later drive saw otherwise than the drives before it; a thing that was moved stands here twice, gone from one place and new at another. The grid shows the house as it was seen last.</p>
<div class="table" tabindex="0" role="region" aria-label="Changes between drives"><table><thead><tr><th>what</th><th class="n">from x, y, m</th><th class="n">to x, y, m</th><th class="n">length</th><th>now</th></tr></thead><tbody>
)" + rows +
         "</tbody></table></div>\n</section>\n";
}

std::string changes_table(const std::vector<Change>& changes) {
  std::string rows;
  for (const Change& c : changes) {
    if (c.since_drive != 0) continue;
    rows += change_row(c, fmt::format("<td class=\"n\">{}</td><td class=\"n\">{}</td>", c.visits_there, c.visits_gone));
  }
  if (rows.empty()) return changes_between_drives(changes);
  return R"(<section aria-labelledby="changes-title"><h2 id="changes-title">What changed during the drive</h2>
<p>Seen there during some visits and seen through during others. What is straight, thin and as long as a door leaf is taken for a door; the grid shows it as neither wall nor free floor. A pane that lets most beams through may look like one.</p>
<div class="table" tabindex="0" role="region" aria-label="Changes"><table><thead><tr><th>what</th><th class="n">from x, y, m</th><th class="n">to x, y, m</th><th class="n">length</th><th class="n">visits there</th><th class="n">visits gone</th></tr></thead><tbody>
)" + rows +
         "</tbody></table></div>\n</section>\n" + changes_between_drives(changes);
}

std::string marker_section(const MapMarkers& markers) {
  const std::string sentences = marker_sentences(markers);
  if (sentences.empty()) return "";
  std::string html = fmt::format(
      R"(<section aria-labelledby="markers-title"><h2 id="markers-title">Markers</h2>
<p>{}</p>
<div class="table" tabindex="0" role="region" aria-label="Markers"><table><thead><tr><th>marker</th><th class="n">x, y, m</th><th class="n">uncertainty</th><th class="n">sightings</th><th class="n">these off its place</th><th class="n">off the survey</th></tr></thead><tbody>
)",
      sentences);
  for (const MappedMarker& m : markers.markers) {
    fmt::format_to(std::back_inserter(html),
                   "<tr><td>{}</td><td class=\"n\">{}, {}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td "
                   "class=\"n\">{}</td><td class=\"n\">{}</td></tr>\n",
                   html_text(m.name), fixed_text(m.place.x_m, 3), fixed_text(m.place.y_m, 3), length_text(m.sd_m),
                   m.sightings, length_text(m.residual_rms_m),
                   m.surveyed ? length_text(m.survey_difference_m) : "not surveyed");
  }
  return html +
         "</tbody></table></div>\n<p class=\"soft\">Root mean squares; the uncertainty is one standard uncertainty "
         "against the path's first node. summary.json names every row that was left out, with the reason.</p>\n"
         "</section>\n";
}

std::string candidate_table(const Map& map, Verdict verdict, const char* label, std::size_t most_rows) {
  std::string html = fmt::format(
      "<div class=\"table\" tabindex=\"0\" role=\"region\" aria-label=\"{}\"><table><thead><tr><th scope=\"col\" "
      "class=\"n\">number</th><th scope=\"col\" class=\"n\">first time, s</th><th scope=\"col\" class=\"n\">again, "
      "s</th><th scope=\"col\" class=\"n\">moved</th><th scope=\"col\" class=\"n\">turned</th><th scope=\"col\" "
      "class=\"n\">overlap</th><th scope=\"col\" class=\"n\">seen through</th><th "
      "scope=\"col\">reason</th></tr></thead>"
      "<tbody>\n",
      label);
  std::size_t rows = 0;
  for (std::size_t i = 0; i < map.candidates.size(); ++i) {
    const LoopCandidate& c = map.candidates[i];
    if (c.verdict != verdict || rows++ >= most_rows) continue;
    const Pose2 change = between(c.predicted, c.found);
    fmt::format_to(std::back_inserter(html),
                   "<tr><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td "
                   "class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td "
                   "class=\"why\">{}</td></tr>\n",
                   i + 1, fixed_text(map.graph.nodes.at(c.from).time_s, 1),
                   fixed_text(map.graph.nodes.at(c.to).time_s, 1), length_text(change.translation().norm()),
                   angle_text(wrap_angle(change.heading_rad)), percent_text(c.overlap), percent_text(c.contradiction),
                   html_text(c.reason));
  }
  html += "</tbody></table></div>\n";
  if (rows > most_rows) {
    html += fmt::format("<p class=\"soft\">The first {} of {}; graph.sqlite holds them all.</p>\n", most_rows, rows);
  }
  return html;
}

/// Both scans of one candidate over each other, filled in by the script.
constexpr const char* candidate_viewer = R"(<div id="candidates-live" class="script-only">
<div class="bar"><label>Show <select id="candidate-filter"><option value="all">all candidates</option><option value="accepted">accepted</option><option value="rejected">rejected</option></select></label>
<label>Candidate <select id="candidate"></select></label>
<button type="button" id="candidate-before">Previous</button><button type="button" id="candidate-next">Next</button></div>
<p role="status"><strong id="candidate-verdict"></strong><span id="candidate-reason"></span> <span id="candidate-figures"></span></p>
<div class="overlays">
<figure><figcaption>Before the search</figcaption><svg id="overlay-before" role="img" aria-label="Both scans before the search"><path class="earlier"/><path class="later"/></svg><p id="overlay-before-words" class="soft"></p></figure>
<figure><figcaption>After the search</figcaption><svg id="overlay-after" role="img" aria-label="Both scans after the search"><path class="earlier"/><path class="later"/></svg><p id="overlay-after-words" class="soft"></p></figure>
<figure><figcaption>In the finished map</figcaption><svg id="overlay-final" role="img" aria-label="Both scans in the finished map"><path class="earlier"/><path class="later"/></svg><p id="overlay-final-words" class="soft"></p></figure>
</div>
<p class="soft"><span class="key path"></span> the earlier scan, thick dots; <span class="key odometry"></span> the later one, thin dots. Each is one scan; the test itself took all walls seen around both places.</p>
<div class="bar"><button type="button" id="candidate-first">Set the map to the first time</button><button type="button" id="candidate-again">Set the map to the time of the return</button></div>
</div>
)";

std::string closures(const Map& map, const MapOrigin& origin) {
  constexpr std::size_t most_rows = 200;
  std::string html = "<section aria-labelledby=\"closures-title\"><h2 id=\"closures-title\">Loop closures</h2>\n";
  if (!origin.loops_closed) return html + "<p>None: the map was made with --no-loop-closure.</p>\n</section>\n";
  const auto accepted =
      static_cast<std::size_t>(std::count_if(map.candidates.begin(), map.candidates.end(),
                                             [](const LoopCandidate& c) { return c.verdict == Verdict::accepted; }));
  const std::size_t rejected = map.candidates.size() - accepted;
  html +=
      "<p>Where the robot came back to a place that it knew. “Moved” and “turned” say how far the place lay from "
      "where it was expected; “seen through” is the share of returns beyond a known wall or on known free floor."
      "</p>\n";
  if (accepted == 0) html += "<p>None was accepted.</p>\n";
  if (!map.candidates.empty()) html += candidate_viewer;
  const auto fold = [&](std::size_t count, const std::string& noun, const char* label, Verdict verdict) {
    if (count == 0) return;
    const bool open = verdict == Verdict::accepted && count <= 15;
    fmt::format_to(std::back_inserter(html), "<details{}><summary>{}, with reasons</summary>\n{}</details>\n",
                   open ? " open=\"open\"" : "", count_text(count, noun),
                   candidate_table(map, verdict, label, most_rows));
  };
  fold(accepted, "accepted closure", "Accepted closures", Verdict::accepted);
  fold(rejected, "rejected candidate", "Rejected candidates", Verdict::rejected);
  return html + "</section>\n";
}

std::string files() {
  return R"(<section aria-labelledby="files"><h2 id="files">Beside this page</h2>
<dl>
<div><dt>grid.pgm, grid.yaml</dt><dd>the map as a picture, and where it lies</dd></div>
<div><dt>trajectory.csv</dt><dd>the path found, a row a scan</dd></div>
<div><dt>odometry.csv</dt><dd>the same rows by odometry alone</dd></div>
<div><dt>graph.sqlite</dt><dd>all that was measured and decided</dd></div>
<div><dt>summary.json</dt><dd>the figures for machines</dd></div>
</dl>
</section>
)";
}

std::string cautions() {
  return fmt::format(
      "<section aria-labelledby=\"cautions\"><h2 id=\"cautions\">Cautions</h2>\n<p>{}</p>\n<p>Before a robot drives by "
      "this map: check the wheels' direction and the stop "
      "switch with the wheels lifted, then drive slowly at first, with a stop at hand and people and pets away. Do not "
      "let motors stall against a wall, and follow the laser's class (IEC 60825-1) and the battery maker's "
      "instructions. "
      "Local codes and qualified practice come first.</p>\n<p>A map of a home is private. This page and the files "
      "beside "
      "it stay on this machine until you pass them on.</p>\n</section>\n",
      html_text(map_caution));
}

std::string checksums_text(Drives drives) {
  std::string text;
  for (const Drive& drive : drives) {
    text += fmt::format("{}Drive {}, checksum {}.", text.empty() ? "" : " ", html_text(drive.name),
                        html_text(drive.checksum));
  }
  return text;
}

}  // namespace

std::string report_page(const Map& map_of_drives, Drives drives, const MapOrigin& origin) {
  const Map map = on_one_time_line(map_of_drives);
  std::string html = "<header>\n" + heading(map_of_drives, drives, origin) + "</header>\n<main>\n<div class=\"top\">\n";
  html += map_figure(map, origin) + answer(map, drives, origin) + "</div>\n";
  html += closures(map, origin);
  html += residual_section(map.graph);
  html += changes_table(map.changes);
  html += constants_table(map.constants);
  html += marker_section(map.markers);
  html += figures(map);
  html += files();
  html += cautions();
  fmt::format_to(std::back_inserter(html), "</main>\n<footer>wainscot {}. {}</footer>\n",
                 html_text(origin.program_version), checksums_text(drives));
  return framed_page({"Map of " + names_text(drives), html, report_css(), report_js(), report_data(map, drives)});
}

}  // namespace wainscot
