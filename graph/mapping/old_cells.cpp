#include "graph/mapping/old_cells.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>

#include "graph/seen_round.hpp"

namespace wainscot {
namespace {

constexpr std::int32_t kBlock = 10;  // cells of a square that is moved as a whole: the nodes lie no closer

std::size_t index_of(const GridFrame& frame, std::int32_t column, std::int32_t row) {
  return static_cast<std::size_t>(row) * static_cast<std::size_t>(frame.columns) + static_cast<std::size_t>(column);
}

Eigen::Vector2d middle_of(const GridFrame& frame, double column, double row) {
  return frame.lower_left_corner_m() + frame.cell_size_m * Eigen::Vector2d(column + 0.5, row + 0.5);
}

const MovedPose& nearest_node(const std::vector<MovedPose>& nodes, const Eigen::Vector2d& place) {
  return *std::min_element(nodes.begin(), nodes.end(), [&place](const MovedPose& a, const MovedPose& b) {
    return (a.before.translation() - place).squaredNorm() < (b.before.translation() - place).squaredNorm();
  });
}

bool has_wall_around(const OccupancyGrid& grid, std::int32_t column, std::int32_t row) {
  const GridFrame& frame = grid.frame;
  for (std::int32_t r = std::max(row - 1, 0); r <= std::min(row + 1, frame.rows - 1); ++r) {
    for (std::int32_t c = std::max(column - 1, 0); c <= std::min(column + 1, frame.columns - 1); ++c) {
      if (grid.probability[index_of(frame, c, r)] > 0.5F) return true;
    }
  }
  return false;
}

/// `drawn`: the grid as it was drawn, which decides; what is taken must not keep its neighbours out.
void take_cell(float old_probability, const Eigen::Vector2d& place, const OccupancyGrid& drawn, OccupancyGrid& grid) {
  constexpr float kFreeForSure = 0.09F;  // less than the prior: some scan saw through, and none ended there
  const GridFrame& frame = drawn.frame;
  const Eigen::Vector2d at = (place - frame.lower_left_corner_m()) / frame.cell_size_m;
  const auto column = static_cast<std::int32_t>(std::floor(at.x()));
  const auto row = static_cast<std::int32_t>(std::floor(at.y()));
  if (column < 0 || row < 0 || column >= frame.columns || row >= frame.rows) return;
  const std::size_t cell = index_of(frame, column, row);
  const float now = drawn.probability[cell];
  const bool wall = old_probability > 0.5F;
  const bool free_for_sure = now < kFreeForSure && is_seen_all_round(drawn, column, row);
  const bool wanted = wall ? !free_for_sure && !has_wall_around(drawn, column, row) : std::isnan(now);
  if (wanted) grid.probability[cell] = old_probability;
}

}  // namespace

void keep_old_cells(const OccupancyGrid& old_grid, const std::vector<MovedPose>& nodes, OccupancyGrid& grid) {
  const OccupancyGrid drawn = grid;
  const GridFrame& frame = old_grid.frame;
  for (std::int32_t first_row = 0; first_row < frame.rows; first_row += kBlock) {
    for (std::int32_t first_column = 0; first_column < frame.columns; first_column += kBlock) {
      const MovedPose& node =
          nearest_node(nodes, middle_of(frame, first_column + 0.5 * kBlock, first_row + 0.5 * kBlock));
      const Pose2 motion = node.after * inverse(node.before);
      for (std::int32_t row = first_row; row < std::min(first_row + kBlock, frame.rows); ++row) {
        for (std::int32_t column = first_column; column < std::min(first_column + kBlock, frame.columns); ++column) {
          const float probability = old_grid.probability[index_of(frame, column, row)];
          if (std::isnan(probability)) continue;
          take_cell(probability, motion * middle_of(frame, column, row), drawn, grid);
        }
      }
    }
  }
}

}  // namespace wainscot
