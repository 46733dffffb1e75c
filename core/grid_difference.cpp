#include "core/grid_difference.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace wainscot {
namespace {

/// NaN outside the grid.
float probability_at(const OccupancyGrid& grid, const Eigen::Vector2d& place_m) {
  const GridFrame& frame = grid.frame;
  const Eigen::Vector2d cells = (place_m - frame.lower_left_corner_m()) / frame.cell_size_m;
  if (!(cells.x() >= 0.0 && cells.y() >= 0.0 && cells.x() < frame.columns && cells.y() < frame.rows)) {
    return std::numeric_limits<float>::quiet_NaN();
  }
  const auto column = static_cast<std::size_t>(cells.x());
  const auto row = static_cast<std::size_t>(cells.y());
  return grid.probability[row * static_cast<std::size_t>(frame.columns) + column];
}

/// The first grid's lattice, widened to hold the second grid's corners too.
GridFrame common_frame(const GridFrame& first, const GridFrame& second, const Pose2& first_second) {
  std::int32_t left = first.first_column;
  std::int32_t right = first.first_column + first.columns;
  std::int32_t bottom = first.first_row;
  std::int32_t top = first.first_row + first.rows;
  const Eigen::Vector2d corner = second.lower_left_corner_m();
  for (const int across : {0, 1}) {
    for (const int up : {0, 1}) {
      const Eigen::Vector2d size(across * second.columns, up * second.rows);
      const Eigen::Vector2d cells =
          (first_second * Eigen::Vector2d(corner + second.cell_size_m * size)) / first.cell_size_m;
      left = std::min(left, static_cast<std::int32_t>(std::floor(cells.x())));
      right = std::max(right, static_cast<std::int32_t>(std::ceil(cells.x())));
      bottom = std::min(bottom, static_cast<std::int32_t>(std::floor(cells.y())));
      top = std::max(top, static_cast<std::int32_t>(std::ceil(cells.y())));
    }
  }
  return {first.cell_size_m, left, bottom, right - left, top - bottom};
}

struct Seen {
  std::vector<bool> wall;
  std::vector<bool> floor;
};

Eigen::Vector2d middle_of(const GridFrame& frame, std::int32_t column, std::int32_t row) {
  return {(frame.first_column + column + 0.5) * frame.cell_size_m, (frame.first_row + row + 0.5) * frame.cell_size_m};
}

Seen resample(const GridFrame& frame, const OccupancyGrid& grid, const Pose2& grid_frame,
              const GridDifferenceOptions& options) {
  Seen seen;
  for (std::int32_t row = 0; row < frame.rows; ++row) {
    for (std::int32_t column = 0; column < frame.columns; ++column) {
      const auto p = static_cast<double>(probability_at(grid, grid_frame * middle_of(frame, column, row)));
      seen.wall.push_back(p >= options.occupied);
      seen.floor.push_back(p <= options.free);
    }
  }
  return seen;
}

/// Whether a marked cell's middle lies within reach of each cell's.
std::vector<bool> widened(const GridFrame& frame, const std::vector<bool>& marked, double reach_m) {
  std::vector<bool> result(marked.size(), false);
  const auto reach = static_cast<std::int32_t>(std::floor(reach_m / frame.cell_size_m));
  for (std::int32_t row = 0; row < frame.rows; ++row) {
    for (std::int32_t column = 0; column < frame.columns; ++column) {
      if (!marked[static_cast<std::size_t>(row * frame.columns + column)]) continue;
      for (std::int32_t r = std::max(0, row - reach); r <= std::min(frame.rows - 1, row + reach); ++r) {
        for (std::int32_t c = std::max(0, column - reach); c <= std::min(frame.columns - 1, column + reach); ++c) {
          if (std::hypot(r - row, c - column) * frame.cell_size_m <= reach_m) {
            result[static_cast<std::size_t>(r * frame.columns + c)] = true;
          }
        }
      }
    }
  }
  return result;
}

}  // namespace

std::size_t GridDifference::count(CellDifference kind) const {
  return static_cast<std::size_t>(std::count(cell.begin(), cell.end(), kind));
}

GridDifference grid_difference(const OccupancyGrid& first, const OccupancyGrid& second, const Pose2& first_second,
                               const GridDifferenceOptions& options) {
  GridDifference result;
  result.frame = common_frame(first.frame, second.frame, first_second);
  const Seen a = resample(result.frame, first, {}, options);
  const Seen b = resample(result.frame, second, inverse(first_second), options);
  const std::vector<bool> near_a = widened(result.frame, a.wall, options.reach_m);
  const std::vector<bool> near_b = widened(result.frame, b.wall, options.reach_m);
  for (std::size_t i = 0; i < a.wall.size(); ++i) {
    CellDifference kind = CellDifference::unseen;
    if (a.wall[i] || b.wall[i]) {
      const bool only_first = a.wall[i] && b.floor[i] && !near_b[i];
      const bool only_second = b.wall[i] && a.floor[i] && !near_a[i];
      kind = only_first    ? CellDifference::only_first
             : only_second ? CellDifference::only_second
                           : CellDifference::wall_in_both;
    } else if (a.floor[i] || b.floor[i]) {
      kind = CellDifference::floor;
    }
    result.cell.push_back(kind);
  }
  return result;
}

}  // namespace wainscot
