#include "io/page/report_page.hpp"

#include <algorithm>
#include <cstddef>
#include <iterator>
#include <vector>

#include <fmt/format.h>

#include "io/markup.hpp"
#include "io/number_text.hpp"
#include "io/page/change_section.hpp"
#include "io/page/closure_section.hpp"
#include "io/page/files.hpp"
#include "io/page/map_figure.hpp"
#include "io/page/page_frame.hpp"
#include "io/page/report_data.hpp"
#include "io/page/residual_section.hpp"
#include "io/page/stage_section.hpp"
#include "io/page/trust_section.hpp"
#include "io/page/warning_places.hpp"
#include "io/results/line_account.hpp"
#include "io/results/marker_account.hpp"
#include "io/time_line.hpp"
#include "io/warnings.hpp"

namespace wainscot {
namespace {

/// The drives' names, “a”, “b” and “c”.
std::string names_text(Drives drives) {
  std::string text;
  for (std::size_t i = 0; i < drives.size(); ++i) {
    text += (i == 0 ? "“" : i + 1 == drives.size() ? " and “" : ", “") + drives[i].name + "”";
  }
  return text;
}

/// A drive's folder is often called "drive".
std::string title_of(Drives drives) {
  return (drives.size() > 1 ? "Map from the drives " : "Map from the drive ") + names_text(drives);
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
      fmt::format("<h1>{}</h1>\n<p class=\"soft\">{} driven in {}, {} used</p>\n", html_text(title_of(drives)),
                  length_text(quality.path_length_m), duration_text(quality.duration_s),
                  count_text(static_cast<std::size_t>(quality.scans_used), "scan"));
  html += share_list(map, drives);
  std::string marks;
  if (origin.simulated) marks += "<span class=\"mark\">simulated drive</span>";
  if (!origin.loops_closed) marks += "<span class=\"mark\">made without loop closure</span>";
  if (!marks.empty()) html += "<p>" + marks + "</p>\n";
  return html;
}

std::string constants_table(const std::vector<RefinedConstant>& constants, const LeftOut& left_out) {
  if (constants.empty()) return "";
  std::string html = R"(<section aria-labelledby="constants"><h2 id="constants">The robot's constants</h2>
<p>What robot.yaml states, and what the drive says. A constant that the drive did not observe stays near what was stated.</p>
<div class="table" tabindex="0" role="region" aria-label="Constants"><table class="stacked"><thead><tr><th>constant</th><th class="n">stated</th><th class="n">found</th><th class="n">change</th><th>unit</th><th>observed</th></tr></thead><tbody>
)";
  for (const RefinedConstant& c : constants) {
    const UncertainText stated = uncertain_text(c.stated, c.stated_sd);
    const UncertainText found = uncertain_text(c.found, c.found_sd);
    fmt::format_to(std::back_inserter(html),
                   "<tr><td>{}</td><td class=\"n\" data-label=\"stated\">{} ± {}</td><td class=\"n\" "
                   "data-label=\"found\">{} ± {}</td><td class=\"n\" data-label=\"change\">{:+.2g}</td><td "
                   "data-label=\"unit\">{}</td><td data-label=\"observed\">{}</td></tr>\n",
                   html_text(c.name), stated.value, stated.sd, found.value, found.sd, c.found - c.stated,
                   c.unit == "1" ? "" : html_text(c.unit), c.observed ? "yes" : "no");
  }
  html += "</tbody></table></div>\n<p class=\"soft\">After ±: one standard uncertainty.</p>\n";
  if (left_out.found) {
    html += fmt::format(
        "<p>This robot.yaml leaves out the wheels{}: what stands as stated is what the motion from scan to "
        "scan gave to begin with.</p>\n",
        left_out.mounting ? " and the lidar's place" : "");
  }
  return html + "</section>\n";
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

std::string line_section(const Map& map) {
  const std::string sentences = line_sentences(map);
  if (sentences.empty()) return "";
  std::string html = fmt::format(
      R"(<section aria-labelledby="lines-title"><h2 id="lines-title">Lines that were followed</h2>
<p>{}</p>
<div class="table" tabindex="0" role="region" aria-label="Lines"><table><thead><tr><th>line</th><th class="n">from x, y, m</th><th class="n">to x, y, m</th><th class="n">uncertainty</th><th class="n">stretches</th><th class="n">robot off it</th><th class="n">off the survey</th></tr></thead><tbody>
)",
      sentences);
  for (const MappedLine& line : map.lines.lines) {
    fmt::format_to(std::back_inserter(html),
                   "<tr><td>{}</td><td class=\"n\">{}, {}</td><td class=\"n\">{}, {}</td><td class=\"n\">{}</td><td "
                   "class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td></tr>\n",
                   html_text(line.name), fixed_text(line.from_m.x(), 3), fixed_text(line.from_m.y(), 3),
                   fixed_text(line.to_m.x(), 3), fixed_text(line.to_m.y(), 3), length_text(line.sd_m), line.stretches,
                   length_text(line.residual_rms_m),
                   line.measured ? length_text(line.survey_difference_m) : "not measured");
  }
  return html +
         "</tbody></table></div>\n<p class=\"soft\">Between the places where it was followed. Root mean squares; the "
         "uncertainty is one standard uncertainty across the line against the path's first node. summary.json names "
         "every row that was left out, with the reason.</p>\n</section>\n";
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
  const std::vector<WarningPlace> places = warning_places(map_of_drives, all_warnings(drives, map_of_drives));
  // The verdict first, then where not, as on a small screen and to a reader's ear; on a wide screen words stand beside
  // the map.
  html += verdict_section(map, drives) + map_figure(map, origin.frame, map_verdict(map, drives).grade, places) +
          trust_section(map, drives, origin.simulated) + "</div>\n";
  html += closure_section(map, origin.loops_closed);
  html += residual_section(map.graph);
  html += change_section(map.changes);
  html += constants_table(map.constants, drives.front().robot.left_out);
  html += marker_section(map.markers);
  html += line_section(map);
  html += stage_section(map);
  html += files();
  html += cautions();
  fmt::format_to(std::back_inserter(html), "</main>\n<footer>wainscot {}. {}</footer>\n",
                 html_text(origin.program_version), checksums_text(drives));
  return framed_page({title_of(drives), html, report_css(), report_js(), report_data(map, drives)});
}

}  // namespace wainscot
