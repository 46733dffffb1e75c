#pragma once

// An occupancy grid: the probability that each square cell of the floor is occupied.
// Source: H. Moravec, A. Elfes, "High resolution maps from wide angle sonar", ICRA 1985.

#include <cstdint>

#include <Eigen/Core>

#include "core/cell_values.hpp"

namespace wainscot {

/// A rectangle of cells. The lower left corner lies on the lattice of whole cells, so that the cells of two grids with
/// one cell size coincide.
struct GridFrame {
  double cell_size_m = 0.05;
  std::int32_t first_column =
      0;                       ///< lattice column of the leftmost cells: x_m of the corner = first_column * cell_size_m
  std::int32_t first_row = 0;  ///< lattice row of the lowest cells
  std::int32_t columns = 0;
  std::int32_t rows = 0;

  Eigen::Vector2d lower_left_corner_m() const { return {first_column * cell_size_m, first_row * cell_size_m}; }
};

using CellProbabilities = CellValues<float, 64>;

/// What is known of each cell. Row 0 is the lowest (smallest y), cells row by row.
struct OccupancyGrid {
  GridFrame frame;
  /// Probability of being occupied, 0..1; NaN for a cell that no beam touched.
  CellProbabilities probability;
};

}  // namespace wainscot
