#include "graph/measure/lineless_walls.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>

namespace wainscot {
namespace {

using CellAt = Eigen::Vector2i;  ///< column and row in the grid

std::size_t index_in(const GridFrame& frame, const CellAt& at) {
  return static_cast<std::size_t>(at.y()) * static_cast<std::size_t>(frame.columns) + static_cast<std::size_t>(at.x());
}

/// Calls `visit` for each cell of the grid at most `reach` columns and rows from `at`.
template <typename Visit>
void visit_cells_near(const GridFrame& frame, const CellAt& at, int reach, Visit visit) {
  for (int row = std::max(at.y() - reach, 0); row <= std::min(at.y() + reach, frame.rows - 1); ++row) {
    for (int column = std::max(at.x() - reach, 0); column <= std::min(at.x() + reach, frame.columns - 1); ++column) {
      visit(CellAt(column, row));
    }
  }
}

void unmark_along(const GridFrame& frame, const WallLine& line, int reach, std::vector<bool>& marked) {
  const Eigen::Vector2d corner = frame.lower_left_corner_m();
  const int steps = std::max(1, static_cast<int>(std::ceil(2.0 * line.length_m() / frame.cell_size_m)));
  for (int i = 0; i <= steps; ++i) {
    const Eigen::Vector2d place = line.from_m + (static_cast<double>(i) / steps) * (line.to_m - line.from_m);
    const Eigen::Vector2d cells = (place - corner) / frame.cell_size_m;
    const CellAt at(static_cast<int>(std::floor(cells.x())), static_cast<int>(std::floor(cells.y())));
    visit_cells_near(frame, at, reach, [&](const CellAt& cell) { marked[index_in(frame, cell)] = false; });
  }
}

/// The marked cells that hang together with `seed`; takes their marks.
std::vector<CellAt> taken_group(const GridFrame& frame, const CellAt& seed, std::vector<bool>& marked) {
  std::vector<CellAt> group = {seed};
  marked[index_in(frame, seed)] = false;
  for (std::size_t i = 0; i < group.size(); ++i) {
    const CellAt at = group[i];
    visit_cells_near(frame, at, 1, [&](const CellAt& cell) {
      if (!marked[index_in(frame, cell)]) return;
      marked[index_in(frame, cell)] = false;
      group.push_back(cell);
    });
  }
  return group;
}

/// The diagonal of the rectangle around the cells' middles.
double length_cells(const std::vector<CellAt>& group) {
  CellAt low = group.front();
  CellAt high = group.front();
  for (const CellAt& at : group) {
    low = low.cwiseMin(at);
    high = high.cwiseMax(at);
  }
  return (high - low).cast<double>().norm();
}

}  // namespace

LinelessWalls lineless_walls(const OccupancyGrid& grid, std::span<const WallLine> lines,
                             const LinelessWallOptions& options) {
  const GridFrame& frame = grid.frame;
  std::vector<bool> rest;
  for (const float p : grid.probability) rest.push_back(static_cast<double>(p) >= options.occupied);
  for (const WallLine& line : lines) unmark_along(frame, line, options.reach_cells, rest);
  LinelessWalls walls;
  walls.marked.assign(rest.size(), false);
  for (std::int32_t row = 0; row < frame.rows; ++row) {
    for (std::int32_t column = 0; column < frame.columns; ++column) {
      if (!rest[index_in(frame, {column, row})]) continue;
      const std::vector<CellAt> group = taken_group(frame, {column, row}, rest);
      const double length_m = frame.cell_size_m * length_cells(group);
      if (length_m < options.least_length_m) continue;
      for (const CellAt& at : group) walls.marked[index_in(frame, at)] = true;
      ++walls.groups;
      walls.length_m += length_m;
    }
  }
  return walls;
}

}  // namespace wainscot
