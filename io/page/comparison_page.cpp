#include "io/page/comparison_page.hpp"

#include <algorithm>
#include <cstddef>
#include <iterator>
#include <numbers>
#include <utility>

#include <fmt/format.h>

#include "io/draw/palette.hpp"
#include "io/draw/plan_svg.hpp"
#include "io/draw/svg_plot.hpp"
#include "io/markup.hpp"
#include "io/number_text.hpp"
#include "io/page/files.hpp"
#include "io/page/page_frame.hpp"

namespace wainscot {
namespace {

/// Plans as wide as the plots, so that letters are of one size.
constexpr double page_width_px = 860.0;
constexpr double narrow_width_px = 360.0;  ///< letters of 15 px are 12 on a telephone

double plan_width_px(PictureSize size) {
  return size == PictureSize::file ? 1400.0 : size == PictureSize::page ? page_width_px : narrow_width_px;
}
double plot_width_px(PictureSize size) { return size == PictureSize::narrow ? narrow_width_px : page_width_px; }
SvgUse use_of(PictureSize size) { return size == PictureSize::file ? SvgUse::file : SvgUse::page; }

bool is_odometry(const std::string& name) { return name.ends_with("odometry alone"); }

/// What the colour of each path means: odometry is odometry, the others are paths that were found, of which a second
/// colour is the reference's where that is one too.
std::vector<std::string> meanings_of(const Comparison& comparison) {
  std::vector<std::string> meanings;
  std::size_t odometry = 0;
  std::size_t found = 0;
  for (const PathComparison& path : comparison.paths) {
    if (is_odometry(path.name)) {
      meanings.emplace_back(odometry++ == 0 ? "odometry" : "odometry-2");
    } else {
      meanings.emplace_back(colour_of_drive(++found));
    }
  }
  return meanings;
}

std::string meaning_of_reference(const Comparison& comparison) {
  if (comparison.against_truth) return "truth";
  return comparison.reference.starts_with("the path found") ? "path" : "path-2";
}

const char* difference_word(const Comparison& comparison) { return comparison.against_truth ? "error" : "difference"; }

ComparisonPicture paths_picture(const Comparison& comparison, PictureSize size) {
  PlanDrawing drawing;
  drawing.title = "Paths, laid over " + comparison.reference;
  drawing.simulated = comparison.simulated;
  drawing.frame_name = "the reference's frame";
  drawing.width_px = plan_width_px(size);
  if (comparison.background) {
    drawing.areas = plan_areas(comparison.background->grid, comparison.background->pose);
  }
  const std::vector<std::string> meanings = meanings_of(comparison);
  PlanPath reference{comparison.reference, meaning_of_reference(comparison), {}};
  for (const TimedPose& row : comparison.reference_path) reference.poses.push_back(row.pose);
  for (std::size_t i = 0; i < comparison.paths.size(); ++i) {
    PlanPath path{comparison.paths[i].name, meanings[i], {}};
    for (const PosePair& pair : comparison.paths[i].poses) path.poses.push_back(pair.estimate);
    drawing.paths.push_back(std::move(path));
  }
  drawing.paths.push_back(std::move(reference));
  return {"paths", plan_svg(drawing, use_of(size)),
          "The paths after the best rotation and shift of each onto " + comparison.reference + "."};
}

/// How far the two places or headings of each moment are apart.
std::vector<PlotSeries> differences_over_time(const Comparison& comparison, bool heading) {
  const std::vector<std::string> meanings = meanings_of(comparison);
  std::vector<PlotSeries> all;
  for (const PathComparison& path : comparison.paths) {
    PlotSeries series{path.name, {}, {}, false, meanings[all.size()]};
    for (const PosePair& pair : path.poses) {
      series.x.push_back(pair.time_s);
      series.y.push_back(heading
                             ? wrap_angle(pair.estimate.heading_rad - pair.truth.heading_rad) * 180.0 / std::numbers::pi
                             : (pair.estimate.translation() - pair.truth.translation()).norm());
    }
    all.push_back(std::move(series));
  }
  return all;
}

ComparisonPicture heading_picture(const Comparison& comparison, PictureSize size) {
  Plot plot;
  plot.width_px = plot_width_px(size);
  plot.title = fmt::format("Heading {} over time", difference_word(comparison));
  plot.x_label = "time, s";
  plot.y_label = "heading, deg";
  plot.series = differences_over_time(comparison, true);
  return {"heading", svg_plot(plot, use_of(size)), "Positive: turned further to the left."};
}

ComparisonPicture position_picture(const Comparison& comparison, PictureSize size) {
  Plot plot;
  plot.width_px = plot_width_px(size);
  plot.title = fmt::format("Position {} over time", difference_word(comparison));
  plot.x_label = "time, s";
  plot.series = differences_over_time(comparison, false);
  constexpr double in_millimetres_below_m = 0.2;
  const bool small = std::all_of(comparison.paths.begin(), comparison.paths.end(), [](const PathComparison& path) {
    return path.error.position_max_m < in_millimetres_below_m;
  });
  plot.y_label = small ? "position, mm" : "position, m";
  if (small) {
    for (PlotSeries& series : plot.series) {
      for (double& y : series.y) y *= 1000.0;
    }
  }
  return {"position", svg_plot(plot, use_of(size)), "The distance between the two places at each moment."};
}

ComparisonPicture stretches_picture(const Comparison& comparison, PictureSize size) {
  Plot plot;
  plot.width_px = plot_width_px(size);
  plot.title = fmt::format("Relative {} (RMSE) over the length of a stretch", difference_word(comparison));
  plot.x_label = "length of the stretch, m";
  plot.y_label = "position, mm";
  plot.logarithmic = true;
  const std::vector<std::string> meanings = meanings_of(comparison);
  for (const PathComparison& path : comparison.paths) {
    PlotSeries series{path.name, {}, {}, false, meanings[plot.series.size()]};
    for (const StretchError& stretch : path.over_way) {
      series.x.push_back(stretch.way_m);
      series.y.push_back(1000.0 * stretch.error.position_rmse_m);
    }
    plot.series.push_back(std::move(series));
  }
  return {"stretches", svg_plot(plot, use_of(size)),
          "How far the end of a stretch is off when its beginning is laid onto the reference. A line that rises "
          "drifts; one that stays flat is held by the map."};
}

ComparisonPicture map_picture(const Comparison& comparison, PictureSize size) {
  const MapsComparison& maps = *comparison.maps;
  PlanDrawing drawing;
  drawing.title = fmt::format("Where {} (first) and {} (second) differ", maps.first, maps.second);
  drawing.simulated = comparison.simulated;
  drawing.width_px = plan_width_px(size);
  const auto area = [&](const std::string& name, const char* classes, CellDifference kind) {
    PlanArea result{name, classes, maps.grid.frame, {}, {}};
    for (const CellDifference cell : maps.grid.cell) result.marked.push_back(cell == kind);
    drawing.areas.push_back(std::move(result));
  };
  area("", "floor", CellDifference::floor);
  area("wall of both, or seen in one only", "wall", CellDifference::wall_in_both);
  area("wall of the first, free in the second", "gone", CellDifference::only_first);
  area("wall of the second, free in the first", "new", CellDifference::only_second);
  return {"walls", plan_svg(drawing, use_of(size)),
          "The second map is laid onto the first by their walls. Walls less than 8 cm apart count as the same."};
}

ComparisonPicture distances_picture(const Comparison& comparison, PictureSize size) {
  Plot plot;
  plot.width_px = plot_width_px(size);
  plot.title = "Distances between facing walls, first minus second";
  plot.x_label = "distance in the first, m";
  plot.y_label = "difference, mm";
  PlotSeries series{"one tape across free floor", {}, {}, true};
  for (const FacingDistance& d : comparison.maps->walls.distances) {
    series.x.push_back(d.first_m);
    series.y.push_back(1000.0 * (d.first_m - d.second_m));
  }
  plot.series = {std::move(series)};
  return {"distances", svg_plot(plot, use_of(size)),
          "Dots that rise or fall with the distance mean another scale; single dots far off mean something that was "
          "moved."};
}

/// Of a sentence: the two names that are words of ours; a folder's name stays as it is.
std::string beginning(const std::string& name) {
  if (name == "found") return "The path found";
  return name == "odometry alone" ? "Odometry alone" : name;
}

std::string lead(const Comparison& comparison) {
  std::string html;
  for (const PathComparison& path : comparison.paths) {
    fmt::format_to(
        std::back_inserter(html),
        "<p class=\"lead\">{} lies {} from {} (root mean square over {}; {} at worst), its heading {}.</p>\n",
        html_text(beginning(path.name)), length_text(path.error.position_rmse_m), html_text(comparison.reference),
        count_text(path.error.pairs, "pose"), length_text(path.error.position_max_m),
        angle_text(path.error.heading_rmse_rad));
  }
  if (comparison.maps) {
    const MapsComparison& maps = *comparison.maps;
    fmt::format_to(
        std::back_inserter(html),
        "<p class=\"lead\">{} of the walls of {} (first) and {} (second) agree within 5 cm; {} between facing "
        "walls differ by {} (median; {} for 95 %).</p>\n",
        percent_text(maps.alignment.agreement), html_text(maps.first), html_text(maps.second),
        count_text(maps.walls.distances.size(), "distance"), length_text(maps.walls.distance_median_m),
        length_text(maps.walls.distance_95_m));
    if (comparison.is_ambiguous()) {
      html +=
          "<p>Laid over each other in another way the maps agree nearly as well: the figures may be of the wrong "
          "one.</p>\n";
    }
  }
  if (comparison.simulated) html += kSimulatedNote;
  return html;
}

std::string distance_table(const WallDifference& walls) {
  constexpr std::size_t most_rows = 25;
  std::string html = R"(<h2>Distances between facing walls, the largest differences first</h2>
<div class="table" tabindex="0" role="region" aria-label="Distances"><table><thead><tr><th class="n">from x, y, m</th><th class="n">to x, y, m</th><th class="n">first, m</th><th class="n">second, m</th><th class="n">difference, mm</th><th class="n">its standard uncertainty, mm</th></tr></thead><tbody>
)";
  for (std::size_t i = 0; i < std::min(most_rows, walls.distances.size()); ++i) {
    const FacingDistance& d = walls.distances[i];
    fmt::format_to(
        std::back_inserter(html),
        "<tr><td class=\"n\">{:.2f}, {:.2f}</td><td class=\"n\">{:.2f}, {:.2f}</td><td class=\"n\">{}</td><td "
        "class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td></tr>\n",
        d.from_m.x(), d.from_m.y(), d.to_m.x(), d.to_m.y(), fixed_text(d.first_m, 3), fixed_text(d.second_m, 3),
        fixed_text(1000.0 * (d.first_m - d.second_m), 1), fixed_text(1000.0 * d.sd_m, 1));
  }
  return html + "</tbody></table></div>\n";
}

/// What a person wants to know of each path, a column a path.
std::string path_table(const Comparison& comparison) {
  std::string html = fmt::format(
      "<h2>Paths against {0}</h2>\n<div class=\"table\" tabindex=\"0\" role=\"region\" aria-label=\"Paths\">"
      "<table><thead><tr><th scope=\"col\">{1}</th>",
      html_text(comparison.reference), difference_word(comparison));
  for (const PathComparison& path : comparison.paths) {
    html += fmt::format("<th scope=\"col\" class=\"n\">{}</th>", html_text(path.name));
  }
  html += "</tr></thead><tbody>\n";
  const auto row = [&](const char* name, const auto& cell) {
    html += fmt::format("<tr><th scope=\"row\">{}</th>", name);
    for (const PathComparison& path : comparison.paths) html += fmt::format("<td class=\"n\">{}</td>", cell(path));
    html += "</tr>\n";
  };
  const auto relative = [](const RelativePoseError& e) {
    return e.pairs == 0 ? std::string("too short a path")
                        : length_text(e.position_rmse_m) + ", " + angle_text(e.heading_rmse_rad);
  };
  const auto relations = [](const RelationError& e) {
    return e.relations == 0 ? std::string("none")
                            : length_text(e.position_mean_m) + ", " + angle_text(e.heading_mean_rad);
  };
  row("place, root mean square", [](const auto& p) { return length_text(p.error.position_rmse_m); });
  row("place, largest", [](const auto& p) { return length_text(p.error.position_max_m); });
  row("heading, root mean square", [](const auto& p) { return angle_text(p.error.heading_rmse_rad); });
  row("over 1 m of way", [&](const auto& p) { return relative(p.over_metre); });
  row("over one turn", [&](const auto& p) { return relative(p.over_turn); });
  row("a place seen again, mean", [&](const auto& p) { return relations(p.seen_again); });
  row("drift of the way (positive: too long)",
      [](const auto& p) { return fixed_text(1000.0 * p.drift.way_m_per_m, 2) + " mm a metre"; });
  row("drift of the heading (positive: to the left)",
      [](const auto& p) { return fixed_text(180.0 / std::numbers::pi * p.drift.heading_rad_per_m, 3) + "° a metre"; });
  row("drift of turns (positive: too large)",
      [](const auto& p) { return fixed_text(360.0 * p.drift.heading_rad_per_rad, 2) + "° a turn"; });
  return html + "</tbody></table></div>\n";
}

/// All figures, folded away.
std::string figure_table(const std::string& heading, const std::vector<NamedFigure>& figures) {
  std::string html = fmt::format(
      "<details><summary>{0}</summary>\n<div class=\"table\" tabindex=\"0\" role=\"region\" aria-label=\"{0}\">"
      "<table><thead><tr><th scope=\"col\">figure, its unit at its end</th><th scope=\"col\" "
      "class=\"n\">value</th></tr></thead><tbody>\n",
      html_text(heading));
  for (const NamedFigure& figure : figures) {
    fmt::format_to(std::back_inserter(html), "<tr><th scope=\"row\">{}</th><td class=\"n\">{}</td></tr>\n", figure.name,
                   short_text(figure.value, 6));
  }
  return html + "</tbody></table></div></details>\n";
}

}  // namespace

std::vector<ComparisonPicture> comparison_pictures(const Comparison& comparison, PictureSize size) {
  std::vector<ComparisonPicture> pictures;
  if (!comparison.paths.empty()) {
    pictures.push_back(paths_picture(comparison, size));
    pictures.push_back(position_picture(comparison, size));
    pictures.push_back(heading_picture(comparison, size));
    pictures.push_back(stretches_picture(comparison, size));
  }
  if (comparison.maps) {
    pictures.push_back(map_picture(comparison, size));
    if (!comparison.maps->walls.distances.empty()) pictures.push_back(distances_picture(comparison, size));
  }
  return pictures;
}

std::string comparison_page(const Comparison& comparison, const std::string& program_version) {
  std::string html = fmt::format("<header><h1>{}</h1></header>\n<main>\n", html_text(comparison.title));
  html += lead(comparison);
  html += "<div class=\"pictures\">\n";
  const std::vector<ComparisonPicture> wide = comparison_pictures(comparison, PictureSize::page);
  const std::vector<ComparisonPicture> narrow = comparison_pictures(comparison, PictureSize::narrow);
  for (std::size_t i = 0; i < wide.size(); ++i) {
    html += picture_figure(wide[i].name, wide[i].svg, narrow[i].svg, wide[i].words);
  }
  html += "</div>\n";
  if (!comparison.paths.empty()) html += path_table(comparison);
  if (comparison.maps && !comparison.maps->walls.distances.empty()) html += distance_table(comparison.maps->walls);
  html += "<h2>All figures</h2>\n";
  for (const PathComparison& path : comparison.paths) {
    html += figure_table(fmt::format("{} against {}", path.name, comparison.reference), figures_of(path));
  }
  if (comparison.maps) html += figure_table("Walls", figures_of(*comparison.maps));
  html += caution_and_footer(program_version);
  const std::string style = std::string(svg_style) + std::string(comparison_css());
  PageParts parts;
  parts.title = comparison.title;
  parts.body = std::move(html);
  parts.style = style;
  return framed_page(parts);
}

}  // namespace wainscot
