#include "io/results/comparison_table.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <iterator>
#include <numbers>
#include <utility>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "io/csv_cell.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

constexpr double degrees_per_radian = 180.0 / std::numbers::pi;

std::string mm(double metres) { return fixed_text(1000.0 * metres, 1); }
std::string degrees(double radians) { return fixed_text(degrees_per_radian * radians, 3); }

/// Room for the longest name.
std::size_t name_width(const Comparison& comparison) {
  std::size_t width = 14;
  for (const PathComparison& path : comparison.paths) width = std::max(width, path.name.size());
  return width + 1;
}

std::string absolute_table(const Comparison& comparison, std::size_t width) {
  std::string text = fmt::format(
      "Distance from {} after rigid alignment (rotation and translation, no scale)\n\n{:<{}}{:>7}{:>33}{:>24}\n"
      "{:<{}}{:>7}{:>11}{:>11}{:>11}{:>12}{:>12}\n",
      comparison.reference, "", width, "", "position, mm", "heading, deg", "path", width, "poses", "RMSE", "median",
      "largest", "RMSE", "largest");
  for (const PathComparison& path : comparison.paths) {
    const TrajectoryError& e = path.error;
    text += fmt::format("{:<{}}{:>7}{:>11}{:>11}{:>11}{:>12}{:>12}\n", path.name, width, e.pairs, mm(e.position_rmse_m),
                        mm(e.position_median_m), mm(e.position_max_m), degrees(e.heading_rmse_rad),
                        degrees(e.heading_max_rad));
  }
  for (const PathComparison& path : comparison.paths) {
    if (&path == &comparison.paths.front()) text += "\n";
    text += fmt::format("With a scale of {} too, {} lies {} from {} (RMSE).\n", fixed_text(path.shape.scale, 5),
                        path.name == "found" ? "the path found" : path.name, length_text(path.shape.position_rmse_m),
                        comparison.against_truth ? "the true one" : comparison.reference);
    if (path.error.outside_truth > 0) {
      text += fmt::format("{}: {} outside the times of {} left out.\n", path.name,
                          count_text(path.error.outside_truth, "pose"), comparison.reference);
    }
  }
  return text;
}

std::string relative_table(const Comparison& comparison, std::size_t width) {
  std::string text = fmt::format(
      "\nRelative motions off (RMSE) over 1 m of way and over 360 deg of turning\n\n{:<{}}{:>22}{:>28}\n"
      "{:<{}}{:>10}{:>12}{:>16}{:>12}\n",
      "", width, "over 1 m", "over a turn", "path", width, "mm", "deg", "mm", "deg");
  for (const PathComparison& path : comparison.paths) {
    const auto figures = [](const RelativePoseError& e) {
      return e.pairs == 0 ? std::pair<std::string, std::string>{"-", "-"}
                          : std::pair{mm(e.position_rmse_m), degrees(e.heading_rmse_rad)};
    };
    const auto metre = figures(path.over_metre);
    const auto turn = figures(path.over_turn);
    text += fmt::format("{:<{}}{:>10}{:>12}{:>16}{:>12}\n", path.name, width, metre.first, metre.second, turn.first,
                        turn.second);
  }
  return text;
}

std::string relation_table(const Comparison& comparison, std::size_t width) {
  std::string text = fmt::format(
      "\nRelations between places off, mean and standard deviation of the absolute values\n\n{:<{}}{:>36}{:>40}\n"
      "{:<{}}{:>6}{:>17}{:>17}{:>6}{:>17}{:>17}\n",
      "", width, "to the next place, 0.5 m on", "to the place as seen before", "path", width, "count", "mm", "deg",
      "count", "mm", "deg");
  for (const PathComparison& path : comparison.paths) {
    text += fmt::format("{:<{}}", path.name, width);
    for (const RelationError& e : {path.along_way, path.seen_again}) {
      const bool none = e.relations == 0;
      // "±" is one character and two bytes: padded by hand.
      const auto padded = [](const std::string& value, const std::string& spread) {
        const std::size_t length = value.size() + spread.size() + 3;
        return fmt::format("{:{}}{} ± {}", "", length < 17 ? 17 - length : 1, value, spread);
      };
      text += fmt::format("{:>6}", e.relations);
      text += none ? fmt::format("{:>17}{:>17}", "-", "-")
                   : padded(mm(e.position_mean_m), mm(e.position_sd_m)) +
                         padded(degrees(e.heading_mean_rad), degrees(e.heading_sd_rad));
    }
    text += "\n";
  }
  return text;
}

std::string drift_table(const Comparison& comparison, std::size_t width) {
  std::string text =
      fmt::format("\nDrift (positive: too long, to the left, turned too far)\n\n{:<{}}{:>14}{:>22}{:>22}\n", "path",
                  width, "way, mm a m", "heading, deg a m", "heading, deg a turn");
  for (const PathComparison& path : comparison.paths) {
    text += fmt::format("{:<{}}{:>14}{:>22}{:>22}\n", path.name, width, fixed_text(1000.0 * path.drift.way_m_per_m, 2),
                        degrees(path.drift.heading_rad_per_m), fixed_text(360.0 * path.drift.heading_rad_per_rad, 3));
  }
  return text;
}

std::string distance_rows(const WallDifference& walls) {
  constexpr std::size_t most_rows = 8;
  std::string text = fmt::format(
      "\nLargest differences between facing walls (x, y in the frame of the "
      "first)\n\n{:>16}{:>16}{:>11}{:>11}{:>15}{:>12}\n",
      "from, m", "to, m", "first, m", "second, m", "difference, mm", "its sd, mm");
  for (std::size_t i = 0; i < std::min(most_rows, walls.distances.size()); ++i) {
    const FacingDistance& d = walls.distances[i];
    const auto place = [](const Eigen::Vector2d& p) { return fixed_text(p.x(), 2) + ", " + fixed_text(p.y(), 2); };
    text += fmt::format("{:>16}{:>16}{:>11}{:>11}{:>15}{:>12}\n", place(d.from_m), place(d.to_m),
                        fixed_text(d.first_m, 3), fixed_text(d.second_m, 3), mm(d.first_m - d.second_m), mm(d.sd_m));
  }
  return text;
}

std::string maps_text(const MapsComparison& maps, bool ambiguous) {
  const WallDifference& walls = maps.walls;
  const Pose2& pose = maps.alignment.first_second;
  std::string text = fmt::format(
      "Walls of {} (first) and {} (second)\n\n"
      "The second's frame lies at x {} m, y {} m, {} deg in the first's; {} of the walls agree within 5 cm.\n",
      maps.first, maps.second, fixed_text(pose.x_m, 3), fixed_text(pose.y_m, 3), degrees(pose.heading_rad),
      percent_text(maps.alignment.agreement));
  if (ambiguous) {
    text += "Laid over each other in another way they agree nearly as well: these figures may be of the wrong one.\n";
  }
  fmt::format_to(
      std::back_inserter(text),
      "Faces: {} of {} wall pieces of the second belong to a plain face that the first has within 10 cm; across "
      "the wall the two are {} apart (median; {} for 95 %).\n",
      whole_text(walls.paired), whole_text(walls.pieces), length_text(walls.offset_median_m),
      length_text(walls.offset_95_m));
  const double cell_m2 = maps.grid.frame.cell_size_m * maps.grid.frame.cell_size_m;
  fmt::format_to(
      std::back_inserter(text),
      "Floor: {} m² are wall in the first and free in the second, {} m² the other way round; {} m² are wall in "
      "both.\n",
      fixed_text(cell_m2 * static_cast<double>(maps.grid.count(CellDifference::only_first)), 2),
      fixed_text(cell_m2 * static_cast<double>(maps.grid.count(CellDifference::only_second)), 2),
      fixed_text(cell_m2 * static_cast<double>(maps.grid.count(CellDifference::wall_in_both)), 2));
  if (walls.distances.empty()) return text + "Distances: no two facing walls stand in both maps.\n";
  fmt::format_to(std::back_inserter(text), "Distances: {} between facing walls differ by {} (median; {} for 95 %).\n{}",
                 whole_text(walls.distances.size()), length_text(walls.distance_median_m),
                 length_text(walls.distance_95_m), distance_rows(walls));
  return text;
}

nlohmann::ordered_json json_of(const std::vector<NamedFigure>& figures) {
  nlohmann::ordered_json result;
  for (const NamedFigure& figure : figures) {
    const double value = rounded(figure.value, 9);
    if (value == std::trunc(value) && std::abs(value) < 1e15) {
      result[figure.name] = static_cast<std::int64_t>(value);
    } else {
      result[figure.name] = value;
    }
  }
  return result;
}

nlohmann::ordered_json json_of(const PathComparison& path) {
  nlohmann::ordered_json result = {{"name", path.name}, {"figures", json_of(figures_of(path))}};
  nlohmann::ordered_json rows = nlohmann::ordered_json::array();
  for (const PosePair& pair : path.poses) {
    rows.push_back({rounded(pair.time_s, 6), rounded(pair.estimate.x_m - pair.truth.x_m, 6),
                    rounded(pair.estimate.y_m - pair.truth.y_m, 6),
                    rounded(wrap_angle(pair.estimate.heading_rad - pair.truth.heading_rad), 6)});
  }
  result["columns"] = {"time_s", "x_difference_m", "y_difference_m", "heading_difference_rad"};
  result["rows"] = std::move(rows);
  return result;
}

nlohmann::ordered_json json_of(const MapsComparison& maps) {
  nlohmann::ordered_json rows = nlohmann::ordered_json::array();
  for (const FacingDistance& d : maps.walls.distances) {
    rows.push_back({rounded(d.from_m.x(), 4), rounded(d.from_m.y(), 4), rounded(d.to_m.x(), 4), rounded(d.to_m.y(), 4),
                    rounded(d.first_m, 5), rounded(d.second_m, 5), rounded(d.sd_m, 5)});
  }
  return {{"first", maps.first},
          {"second", maps.second},
          {"figures", json_of(figures_of(maps))},
          {"columns", {"from_x_m", "from_y_m", "to_x_m", "to_y_m", "first_m", "second_m", "difference_sd_m"}},
          {"rows", std::move(rows)}};
}

}  // namespace

std::string comparison_text(const Comparison& comparison) {
  std::string text;
  if (comparison.simulated) text += "Simulated drive: these figures say nothing of a real robot.\n";
  if (!comparison.paths.empty()) {
    const std::size_t width = name_width(comparison);
    text += absolute_table(comparison, width) + relative_table(comparison, width) + relation_table(comparison, width) +
            drift_table(comparison, width);
  }
  if (comparison.maps) {
    if (!comparison.paths.empty()) text += "\n";
    text += maps_text(*comparison.maps, comparison.is_ambiguous());
  }
  return text;
}

std::string comparison_csv(const Comparison& comparison) {
  std::string text = "compared,reference,figure,value\n";
  const auto rows = [&text](const std::string& compared, const std::string& reference,
                            const std::vector<NamedFigure>& figures) {
    for (const NamedFigure& figure : figures) {
      text += fmt::format("{},{},{},{}\n", csv_cell(compared), csv_cell(reference), figure.name,
                          short_text(figure.value, 9));
    }
  };
  for (const PathComparison& path : comparison.paths) rows(path.name, comparison.reference, figures_of(path));
  if (comparison.maps) rows(comparison.maps->first, comparison.maps->second, figures_of(*comparison.maps));
  return text;
}

std::string comparison_json(const Comparison& comparison) {
  nlohmann::ordered_json result = {{"wainscot_comparison", 1},
                                   {"simulated", comparison.simulated},
                                   {"reference", comparison.reference},
                                   {"paths", nlohmann::ordered_json::array()}};
  for (const PathComparison& path : comparison.paths) result["paths"].push_back(json_of(path));
  if (comparison.maps) result["maps"] = json_of(*comparison.maps);
  return result.dump() + "\n";
}

}  // namespace wainscot
