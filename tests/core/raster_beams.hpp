#pragma once

// Beams and cells for the tests of what draws the grid.

#include <cmath>
#include <cstddef>
#include <numbers>

#include "core/rasteriser.hpp"

namespace wainscot {

constexpr double kPi = std::numbers::pi;

inline RasterBeam beam(double x0, double y0, double x1, double y1, bool hit, double incidence_cosine = 1.0) {
  return {static_cast<float>(x0),
          static_cast<float>(y0),
          static_cast<float>(x1),
          static_cast<float>(y1),
          hit,
          static_cast<float>(incidence_cosine)};
}

/// The place of the cell that holds a point.
inline std::size_t cell_at(const GridFrame& frame, double x_m, double y_m) {
  const auto column = static_cast<std::size_t>(std::floor(x_m / frame.cell_size_m) - frame.first_column);
  const auto row = static_cast<std::size_t>(std::floor(y_m / frame.cell_size_m) - frame.first_row);
  return row * static_cast<std::size_t>(frame.columns) + column;
}

inline Eigen::Vector2d middle_of(const GridFrame& frame, std::size_t cell) {
  const auto columns = static_cast<std::size_t>(frame.columns);
  return frame.lower_left_corner_m() + frame.cell_size_m * Eigen::Vector2d(static_cast<double>(cell % columns) + 0.5,
                                                                           static_cast<double>(cell / columns) + 0.5);
}

}  // namespace wainscot
