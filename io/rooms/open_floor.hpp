#pragma once

// The floor of a grid between its walls, and how far each place of it is from them: what rooms are found in.

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "core/occupancy_grid.hpp"

namespace wainscot {

/// The cell that a place lies in, row by row as in the grid; nullopt: outside the frame.
std::optional<std::size_t> cell_at(const GridFrame& frame, const Eigen::Vector2d& place_m);

/// What is no wall: smaller in both directions, as legs of tables and chairs are. The same limit as for the lines of
/// plans (graph/measure/wall_lines.hpp).
inline constexpr double least_wall_m = 0.2;

/// Cells row by row as in the grid, row 0 the lowest.
struct OpenFloor {
  GridFrame frame;
  std::vector<bool> open;  ///< seen, and less than half probably wall; or part of a thing too small for a wall
  /// From the middle of a cell to that of the nearest cell that is not open, in cells; 0 for one that is not open.
  std::vector<float> clearance;

  std::size_t columns() const { return static_cast<std::size_t>(frame.columns); }
  Eigen::Vector2d middle_m(std::size_t cell) const;
  std::optional<std::size_t> cell_at(const Eigen::Vector2d& place_m) const { return wainscot::cell_at(frame, place_m); }
  bool is_open(const Eigen::Vector2d& place_m) const;
};

/// Throws std::invalid_argument where no cell is wall or unseen.
OpenFloor open_floor(const OccupancyGrid& grid);

/// Calls use(neighbour) for the cells beside, above and below a cell of the frame.
template <typename Use>
void for_each_neighbour(const GridFrame& frame, std::size_t cell, const Use& use) {
  const auto columns = static_cast<std::size_t>(frame.columns);
  const std::size_t column = cell % columns;
  if (cell >= columns) use(cell - columns);
  if (column > 0) use(cell - 1);
  if (column + 1 < columns) use(cell + 1);
  if (cell / columns + 1 < static_cast<std::size_t>(frame.rows)) use(cell + columns);
}

/// Calls use(other) for the cells of the frame at most `reach` columns and rows from a cell, that one too, row by row.
template <typename Use>
void for_each_near(const GridFrame& frame, std::size_t cell, std::size_t reach, const Use& use) {
  const auto columns = static_cast<std::size_t>(frame.columns);
  const std::size_t column = cell % columns;
  const std::size_t row = cell / columns;
  const std::size_t last_row = std::min(static_cast<std::size_t>(frame.rows) - 1, row + reach);
  for (std::size_t y = row - std::min(row, reach); y <= last_row; ++y) {
    for (std::size_t x = column - std::min(column, reach); x <= std::min(columns - 1, column + reach); ++x) {
      use(y * columns + x);
    }
  }
}

}  // namespace wainscot
