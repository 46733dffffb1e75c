#include "io/draw/sureness.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <deque>

#include <fmt/format.h>

namespace wainscot {
namespace {

constexpr std::int16_t no_level = -1;
constexpr double square_m = 0.2;

/// Squares of whole cells over the grid.
struct Squares {
  GridFrame frame;
  std::vector<bool> is_free;
  std::vector<std::int16_t> level;

  bool holds(std::int32_t column, std::int32_t row) const {
    return column >= 0 && row >= 0 && column < frame.columns && row < frame.rows;
  }
  std::size_t at(std::int32_t column, std::int32_t row) const {
    return static_cast<std::size_t>(row) * static_cast<std::size_t>(frame.columns) + static_cast<std::size_t>(column);
  }
};

std::int32_t floor_division(std::int32_t a, std::int32_t b) { return a / b - (a % b < 0 ? 1 : 0); }

/// A square is free where more of its seen cells are free floor than wall.
Squares free_squares(const OccupancyGrid& grid) {
  const GridFrame& cells = grid.frame;
  const auto side = static_cast<std::int32_t>(std::max(1L, std::lround(square_m / cells.cell_size_m)));
  Squares squares;
  GridFrame& frame = squares.frame;
  frame.cell_size_m = side * cells.cell_size_m;
  frame.first_column = floor_division(cells.first_column, side);
  frame.first_row = floor_division(cells.first_row, side);
  frame.columns =
      cells.columns == 0 ? 0 : floor_division(cells.first_column + cells.columns - 1, side) - frame.first_column + 1;
  frame.rows = cells.rows == 0 ? 0 : floor_division(cells.first_row + cells.rows - 1, side) - frame.first_row + 1;
  const std::size_t count = static_cast<std::size_t>(frame.columns) * static_cast<std::size_t>(frame.rows);
  std::vector<int> balance(count, 0);
  for (std::int32_t row = 0; row < cells.rows; ++row) {
    for (std::int32_t column = 0; column < cells.columns; ++column) {
      const float p = grid.probability[static_cast<std::size_t>(row) * static_cast<std::size_t>(cells.columns) +
                                       static_cast<std::size_t>(column)];
      if (std::isnan(p)) continue;
      balance[squares.at(floor_division(cells.first_column + column, side) - frame.first_column,
                         floor_division(cells.first_row + row, side) - frame.first_row)] += p < 0.5F ? 1 : -1;
    }
  }
  for (const int free_cells : balance) squares.is_free.push_back(free_cells > 0);
  squares.level.assign(count, no_level);
  return squares;
}

std::int16_t level_of(double sd_m, bool is_known) {
  if (!is_known || !std::isfinite(sd_m)) return kSurenessBounds_m.size();
  const auto bound = std::lower_bound(kSurenessBounds_m.begin(), kSurenessBounds_m.end(), sd_m);
  return static_cast<std::int16_t>(bound - kSurenessBounds_m.begin());
}

/// Breadth first from the squares of all nodes at once, of several in a square from the least sure one.
void spread_levels(const Map& map, bool are_known, Squares& squares) {
  struct Place {
    std::int32_t column;
    std::int32_t row;
  };
  std::deque<Place> next;
  const bool is_known = are_known && !map.place_sds_m.empty();
  for (std::size_t i = 0; i < map.graph.nodes.size(); ++i) {
    const Node& node = map.graph.nodes[i];
    const auto index = [&squares](double value_m) {
      return static_cast<std::int32_t>(std::floor(value_m / squares.frame.cell_size_m));
    };
    const Place place{index(node.pose.x_m) - squares.frame.first_column,
                      index(node.pose.y_m) - squares.frame.first_row};
    if (!squares.holds(place.column, place.row)) continue;
    std::int16_t& level = squares.level[squares.at(place.column, place.row)];
    if (level == no_level) next.push_back(place);
    level = std::max(level, level_of(is_known ? map.place_sds_m[i] : 0.0, is_known));
  }
  while (!next.empty()) {
    const Place from = next.front();
    next.pop_front();
    for (const auto& [right, up] : {Place{1, 0}, Place{0, 1}, Place{-1, 0}, Place{0, -1}}) {
      const Place to{from.column + right, from.row + up};
      if (!squares.holds(to.column, to.row)) continue;
      const std::size_t at = squares.at(to.column, to.row);
      if (!squares.is_free[at] || squares.level[at] != no_level) continue;
      squares.level[at] = squares.level[squares.at(from.column, from.row)];
      next.push_back(to);
    }
  }
}

std::string level_name(std::size_t level) {
  const auto mm = [](double metres) { return fmt::format("{:.0f}", 1000.0 * metres); };
  if (level == 0) return "up to " + mm(kSurenessBounds_m[0]) + " mm";
  if (level < kSurenessBounds_m.size()) {
    return mm(kSurenessBounds_m[level - 1]) + " to " + mm(kSurenessBounds_m[level]) + " mm";
  }
  return "more than " + mm(kSurenessBounds_m.back()) + " mm, or not known";
}

}  // namespace

std::vector<PlanArea> sureness_areas(const Map& map, bool are_known) {
  Squares squares = free_squares(map.grid);
  spread_levels(map, are_known, squares);
  std::vector<PlanArea> areas;
  for (std::size_t level = 0; level <= kSurenessBounds_m.size(); ++level) {
    PlanArea area{level_name(level), fmt::format("sure-{}", level + 1), squares.frame, {}, {}};
    for (const std::int16_t found : squares.level) area.marked.push_back(found == static_cast<std::int16_t>(level));
    areas.push_back(std::move(area));
  }
  return areas;
}

}  // namespace wainscot
