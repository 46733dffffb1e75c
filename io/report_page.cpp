#include "io/report_page.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <iterator>
#include <vector>

#include <fmt/format.h>
#include <opencv2/imgproc.hpp>

#include "io/map_picture.hpp"
#include "io/number_text.hpp"
#include "io/warnings.hpp"

namespace wainscot {
namespace {

constexpr const char* style = R"(
:root{color-scheme:light dark;--page:#f5f6f2;--card:#fff;--unseen:#e6e9e3;--ink:#22302c;--soft:#56645f;--line:#d5dad2;
--path:#17705f;--odometry:#b9531c;--warn:#8a5300;--warn-back:#fdf1dc}
@media(prefers-color-scheme:dark){:root{--page:#141a18;--card:#1c2422;--unseen:#2c3532;--ink:#e3e9e4;--soft:#a3b0aa;
--line:#37423e;--path:#57c9b0;--odometry:#ee9460;--warn:#f0bd6a;--warn-back:#33291a}.grid{filter:invert(1)}}
*{box-sizing:border-box}
body{margin:0;background:var(--page);color:var(--ink);font:16px/1.5 system-ui,sans-serif}
main{max-width:62rem;margin:0 auto;padding:1.5rem 1rem 3rem}
h1{font-size:1.7rem;line-height:1.2;margin:0 0 .25rem;overflow-wrap:anywhere}
h2{font-size:1.15rem;margin:2.2rem 0 .6rem}
p{margin:.5rem 0;max-width:44rem}
.soft,caption,figcaption,dt{color:var(--soft)}
.mark{display:inline-block;border:1px solid var(--warn);color:var(--warn);border-radius:1rem;padding:0 .7rem;
margin-right:.4rem;font-size:.9rem}
.lead{font-size:1.1rem}
ul.warnings{list-style:none;padding:0;margin:1rem 0}
ul.warnings li{background:var(--warn-back);border-left:4px solid var(--warn);padding:.5rem .8rem;margin:.4rem 0;
overflow-wrap:anywhere}
figure{margin:1.2rem 0;background:var(--card);border:1px solid var(--line);border-radius:8px;padding:.8rem}
figure svg{display:block;width:100%;height:auto;max-height:80vh;background:var(--unseen);border-radius:4px}
.layers{display:flex;flex-wrap:wrap;gap:.3rem 1.2rem;margin-bottom:.6rem}
.layers label{display:flex;align-items:center;gap:.4rem}
.key{display:inline-block;width:1.8rem;border-top:3px solid}
.key.path{border-color:var(--path)}
.key.odometry{border-color:var(--odometry);border-top-style:dashed}
polyline,.dot{fill:none;vector-effect:non-scaling-stroke;stroke-linecap:round;stroke-linejoin:round}
polyline.path{stroke:var(--path);stroke-width:2}
polyline.odometry{stroke:var(--odometry);stroke-width:1.5;stroke-dasharray:5 4}
.dot{stroke:var(--path);stroke-width:11}
.dot.end{stroke:var(--ink)}
.bar-text{fill:var(--ink);font-size:calc(var(--width)*.022)}
@media(max-width:40rem){.bar-text{font-size:calc(var(--width)*.045)}}
.bar{stroke:var(--ink);stroke-width:3;vector-effect:non-scaling-stroke}
figure:has(#show-path:not(:checked)) .path-layer,figure:has(#show-odometry:not(:checked)) .odometry-layer{display:none}
dl{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(13rem,45%),1fr));gap:.8rem 1.5rem;margin:0}
dt{font-size:.9rem}
dd{margin:0;font-weight:600}
.table{overflow-x:auto;background:var(--card);border:1px solid var(--line);border-radius:8px}
table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}
th,td{text-align:left;vertical-align:top;padding:.4rem .8rem;border-bottom:1px solid var(--line)}
tbody tr:last-child td{border-bottom:0}
th{font-weight:600;font-size:.9rem}
.n{text-align:right;white-space:nowrap}
td.why{min-width:14rem}
details{margin:.6rem 0}
summary{cursor:pointer;padding:.4rem 0}
footer{margin-top:2.5rem;border-top:1px solid var(--line);padding-top:.8rem;color:var(--soft);font-size:.9rem;
overflow-wrap:anywhere}
@media print{.layers input{display:none}figure,.table{break-inside:avoid}}
)";

std::string base64(const std::vector<std::uint8_t>& bytes) {
  // RFC 4648, section 4.
  constexpr const char* alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  text.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const std::size_t given = std::min<std::size_t>(3, bytes.size() - i);
    std::uint32_t group = 0;
    for (std::size_t k = 0; k < 3; ++k) group = group << 8 | (k < given ? bytes[i + k] : 0U);
    for (std::size_t k = 0; k < 4; ++k) {
      text.push_back(k <= given ? alphabet[group >> (18 - 6 * k) & 63U] : '=');
    }
  }
  return text;
}

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

std::string map_figure(const Map& map) {
  const GridFrame& frame = map.grid.frame;
  const Window window = picture_window(map);
  const double width_m = window.right - window.left;
  const double height_m = window.top - window.bottom;
  const double bar_m = scale_bar_m(width_m);
  const auto metres = [](double value) { return short_text(value, 4); };
  std::string html = R"(<figure>
<div class="layers"><label><input type="checkbox" id="show-path" checked="checked"/><span class="key path"></span>path found</label>
<label><input type="checkbox" id="show-odometry" checked="checked"/><span class="key odometry"></span>odometry alone</label></div>
)";
  fmt::format_to(std::back_inserter(html),
                 "<svg viewBox=\"{} {} {} {}\" style=\"--width:{}px\" role=\"img\" aria-label=\"Map with the path "
                 "found and the path by odometry "
                 "alone\">\n",
                 metres(window.left), metres(-window.top), metres(width_m), metres(height_m), metres(width_m));
  const Eigen::Vector2d corner = frame.lower_left_corner_m();
  fmt::format_to(std::back_inserter(html),
                 "<image class=\"grid\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\" "
                 "style=\"image-rendering:pixelated\" href=\"data:image/png;base64,{}\"/>\n",
                 metres(corner.x()), metres(-corner.y() - frame.rows * frame.cell_size_m),
                 metres(frame.columns * frame.cell_size_m), metres(frame.rows * frame.cell_size_m),
                 base64(grid_png(map.grid)));
  fmt::format_to(
      std::back_inserter(html),
      "<g class=\"odometry-layer\"><polyline class=\"odometry\" points=\"{}\"/></g>\n<g class=\"path-layer\">"
      "<polyline class=\"path\" points=\"{}\"/>\n",
      polyline_points(map.trajectory, &TrajectoryRow::odometry), polyline_points(map.trajectory, &TrajectoryRow::pose));
  if (!map.trajectory.empty()) {
    html += dot(map.trajectory.back().pose, "dot end", "end") + dot(map.trajectory.front().pose, "dot", "start");
  }
  const double bar_x = window.left + 0.02 * width_m;
  const double bar_y = -window.bottom - 0.02 * std::max(width_m, height_m);
  fmt::format_to(std::back_inserter(html),
                 "</g>\n<path class=\"bar\" d=\"M{} {}h{}\"/><text class=\"bar-text\" x=\"{}\" y=\"{}\">{} m</text>\n"
                 "</svg>\n",
                 metres(bar_x), metres(bar_y), metres(bar_m), metres(bar_x), metres(bar_y - 0.01 * width_m),
                 short_text(bar_m, 3));
  fmt::format_to(std::back_inserter(html),
                 "<figcaption>Walls are drawn strong, free floor plain, what was never seen is grey; a cell is {}. The "
                 "coloured dot is the start, the plain one the end.{}</figcaption>\n</figure>\n",
                 length_text(frame.cell_size_m),
                 window.cuts_odometry ? " The path by odometry alone leaves the picture." : "");
  return html;
}

std::string heading(const Map& map, const Drive& drive, const MapOrigin& origin) {
  const Quality& quality = map.quality;
  std::string html =
      fmt::format("<h1>Map of {}</h1>\n<p class=\"soft\">{} driven in {}, {} used</p>\n", html_text(drive.name),
                  length_text(quality.path_length_m), duration_text(quality.duration_s),
                  count_text(static_cast<std::size_t>(quality.scans_used), "scan"));
  std::string marks;
  if (origin.simulated) marks += "<span class=\"mark\">simulated drive</span>";
  if (!origin.loops_closed) marks += "<span class=\"mark\">made without loop closure</span>";
  if (!marks.empty()) html += "<p>" + marks + "</p>\n";
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
  }
  if (origin.simulated) {
    html += "<p class=\"soft\">All figures on this page come from a simulated drive, not from a real robot.</p>\n";
  }
  return html;
}

std::string warning_list(const std::vector<std::string>& warnings) {
  if (warnings.empty()) return "";
  std::string html = "<h2>Warnings</h2>\n<ul class=\"warnings\">\n";
  for (const std::string& warning : warnings) html += "<li>" + html_text(warning) + "</li>\n";
  return html + "</ul>\n";
}

std::string figures(const Map& map) {
  const Quality& q = map.quality;
  const auto accepted = std::count_if(map.candidates.begin(), map.candidates.end(),
                                      [](const LoopCandidate& c) { return c.verdict == Verdict::accepted; });
  std::string html = "<h2>Figures</h2>\n<dl>\n";
  const auto entry = [&html](const char* name, const std::string& value) {
    html += fmt::format("<div><dt>{}</dt><dd>{}</dd></div>\n", name, value);
  };
  entry("Path length", length_text(q.path_length_m));
  entry("Duration", duration_text(q.duration_s));
  entry("Scans used", count_text(static_cast<std::size_t>(q.scans_used), "scan"));
  entry("Left out: outside odometry's times", whole_text(static_cast<std::size_t>(q.scans_outside_odometry)));
  entry("Left out: too few returns", whole_text(static_cast<std::size_t>(q.scans_without_enough_returns)));
  entry("Left out: carried or sliding", whole_text(static_cast<std::size_t>(q.scans_while_carried)));
  entry("Graph", count_text(map.graph.nodes.size(), "node") + ", " + count_text(map.graph.edges.size(), "edge"));
  entry("Loop closures", fmt::format("{} accepted of {}", accepted, count_text(map.candidates.size(), "candidate")));
  entry("Cost before and after", fixed_text(q.cost_before, 1) + " → " + fixed_text(q.cost_after, 1));
  entry("Wall pieces", whole_text(map.wall_pieces.size()));
  entry("Returns on walls of the grid", percent_text(q.matched_fraction));
  entry("Their distance from the piece (RMS)", length_text(q.residual_rms_m));
  entry("Position uncertainty, median", length_text(q.position_sd_median_m));
  entry("Position uncertainty, worst", length_text(q.position_sd_worst_m));
  entry("Heading uncertainty, median", angle_text(q.heading_sd_median_rad));
  entry("Heading uncertainty, worst", angle_text(q.heading_sd_worst_rad));
  entry("Scale uncertainty", percent_text(q.scale_sd));
  entry("Odometry alone ends off by", length_text(q.start_to_end_odometry_m));
  return html + "</dl>\n";
}

std::string constants_table(const std::vector<RefinedConstant>& constants) {
  if (constants.empty()) return "";
  std::string html = R"(<h2>The robot's constants</h2>
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
  return html + "</tbody></table></div>\n<p class=\"soft\">After ±: one standard uncertainty.</p>\n";
}

std::string changes_table(const std::vector<Change>& changes) {
  if (changes.empty()) return "";
  std::string html = R"(<h2>What changed during the drive</h2>
<p>Seen there during some visits and seen through during others. What is straight, thin and as long as a door leaf is taken for a door; the grid shows it as neither wall nor free floor. A pane that lets most beams through may look like one.</p>
<div class="table" tabindex="0" role="region" aria-label="Changes"><table><thead><tr><th>what</th><th class="n">from x, y, m</th><th class="n">to x, y, m</th><th class="n">length</th><th class="n">visits there</th><th class="n">visits gone</th></tr></thead><tbody>
)";
  for (const Change& c : changes) {
    fmt::format_to(std::back_inserter(html),
                   "<tr><td>{}</td><td class=\"n\">{:.2f}, {:.2f}</td><td class=\"n\">{:.2f}, {:.2f}</td><td "
                   "class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td></tr>\n",
                   c.door ? "door" : "other thing", c.from_m.x(), c.from_m.y(), c.to_m.x(), c.to_m.y(),
                   length_text((c.to_m - c.from_m).norm()), c.visits_there, c.visits_gone);
  }
  return html + "</tbody></table></div>\n";
}

std::string candidate_table(const Map& map, Verdict verdict, std::size_t most_rows) {
  std::string html =
      R"(<div class="table" tabindex="0" role="region" aria-label="Loop candidates"><table><thead><tr><th class="n">first time, s</th><th class="n">again, s</th><th class="n">moved</th><th class="n">turned</th><th class="n">overlap</th><th class="n">seen through</th><th>reason</th></tr></thead><tbody>
)";
  std::size_t rows = 0;
  for (const LoopCandidate& c : map.candidates) {
    if (c.verdict != verdict || rows++ >= most_rows) continue;
    const Pose2 change = between(c.predicted, c.found);
    fmt::format_to(
        std::back_inserter(html),
        "<tr><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td "
        "class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"why\">{}</td></tr>\n",
        fixed_text(map.graph.nodes.at(c.from).time_s, 1), fixed_text(map.graph.nodes.at(c.to).time_s, 1),
        length_text(change.translation().norm()), angle_text(wrap_angle(change.heading_rad)), percent_text(c.overlap),
        percent_text(c.contradiction), html_text(c.reason));
  }
  html += "</tbody></table></div>\n";
  if (rows > most_rows) {
    html += fmt::format("<p class=\"soft\">The first {} of {}; graph.sqlite holds them all.</p>\n", most_rows, rows);
  }
  return html;
}

std::string closures(const Map& map, const MapOrigin& origin) {
  constexpr std::size_t most_rows = 200;
  std::string html = "<h2>Loop closures</h2>\n";
  if (!origin.loops_closed) return html + "<p>None: the map was made with --no-loop-closure.</p>\n";
  const auto accepted =
      static_cast<std::size_t>(std::count_if(map.candidates.begin(), map.candidates.end(),
                                             [](const LoopCandidate& c) { return c.verdict == Verdict::accepted; }));
  const std::size_t rejected = map.candidates.size() - accepted;
  html +=
      "<p>Where the robot came back to a place that it knew. “Moved” and “turned” say how far the place lay from "
      "where it was expected; “seen through” is the share of returns beyond a known wall or on known free floor."
      "</p>\n";
  if (accepted == 0) html += "<p>None was accepted.</p>\n";
  const auto fold = [&](std::size_t count, const std::string& noun, Verdict verdict) {
    if (count == 0) return;
    const bool open = verdict == Verdict::accepted && count <= 15;
    fmt::format_to(std::back_inserter(html), "<details{}><summary>{}, with reasons</summary>\n{}</details>\n",
                   open ? " open=\"open\"" : "", count_text(count, noun), candidate_table(map, verdict, most_rows));
  };
  fold(accepted, "accepted closure", Verdict::accepted);
  fold(rejected, "rejected candidate", Verdict::rejected);
  return html;
}

std::string files() {
  return R"(<h2>Beside this page</h2>
<dl>
<div><dt>grid.pgm, grid.yaml</dt><dd>the map as a picture, and where it lies</dd></div>
<div><dt>trajectory.csv</dt><dd>the path found, a row a scan</dd></div>
<div><dt>odometry.csv</dt><dd>the same rows by odometry alone</dd></div>
<div><dt>graph.sqlite</dt><dd>all that was measured and decided</dd></div>
<div><dt>summary.json</dt><dd>the figures for machines</dd></div>
</dl>
)";
}

std::string cautions() {
  return fmt::format(
      "<h2>Cautions</h2>\n<p>{}</p>\n<p>Before a robot drives by this map: check the wheels' direction and the stop "
      "switch with the wheels lifted, then drive slowly at first, with a stop at hand and people and pets away. Do not "
      "let motors stall against a wall, and follow the laser's class (IEC 60825-1) and the battery maker's "
      "instructions. "
      "Local codes and qualified practice come first.</p>\n<p>A map of a home is private. This page and the files "
      "beside "
      "it stay on this machine until you pass them on.</p>\n",
      html_text(map_caution));
}

}  // namespace

std::string html_text(std::string_view text) {
  std::string safe;
  safe.reserve(text.size());
  for (const char c : text) {
    const auto code = static_cast<unsigned char>(c);
    if (c == '&') {
      safe += "&amp;";
    } else if (c == '<') {
      safe += "&lt;";
    } else if (c == '>') {
      safe += "&gt;";
    } else if (c == '"') {
      safe += "&quot;";
    } else if (c == '\'') {
      safe += "&#39;";
    } else if (code == 127 || (code < 32 && c != '\n' && c != '\t')) {
      safe += "\xEF\xBF\xBD";
    } else {
      safe += c;
    }
  }
  return safe;
}

std::string report_page(const Map& map, const Drive& drive, const MapOrigin& origin) {
  std::string html = fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n<meta name=\"viewport\" "
      "content=\"width=device-width, initial-scale=1\"/>\n<meta http-equiv=\"Content-Security-Policy\" "
      "content=\"default-src 'none'; img-src data:; style-src 'unsafe-inline'\"/>\n<title>Map of {}</title>\n<style>{}"
      "</style>\n</head>\n<body>\n<main>\n",
      html_text(drive.name), style);
  html += heading(map, drive, origin);
  html += map_figure(map);
  html += warning_list(all_warnings(drive, map));
  html += figures(map);
  html += changes_table(map.changes);
  html += constants_table(map.constants);
  html += closures(map, origin);
  html += files();
  html += cautions();
  fmt::format_to(std::back_inserter(html),
                 "<footer>wainscot {}. Drive {}, checksum {}.</footer>\n</main>\n</body>\n</html>\n",
                 html_text(origin.program_version), html_text(drive.name), html_text(drive.checksum));
  return html;
}

}  // namespace wainscot
