#include "io/rooms/marked_cells.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "core/polygon.hpp"
#include "io/grid/clearance.hpp"
#include "io/rooms/open_floor.hpp"

namespace wainscot {
namespace {

constexpr double kStepCells = 0.25;

/// The cells within `reach_cells` of a straight way.
std::set<std::size_t> cells_along(const GridFrame& frame, const Eigen::Vector2d& from_m, const Eigen::Vector2d& to_m,
                                  double reach_cells) {
  const Eigen::Vector2d way = to_m - from_m;
  const double step_m = kStepCells * frame.cell_size_m;
  const int steps = static_cast<int>(std::ceil(way.norm() / step_m)) + 1;
  const Eigen::Vector2d left =
      way.norm() > 0.0 ? Eigen::Vector2d(Eigen::Vector2d(-way.y(), way.x()).normalized()) : Eigen::Vector2d(0.0, 0.0);
  const int beside = static_cast<int>(std::lround(reach_cells / kStepCells));
  std::set<std::size_t> cells;
  for (int i = 0; i <= steps; ++i) {
    for (int k = -beside; k <= beside; ++k) {
      const Eigen::Vector2d place = from_m + static_cast<double>(i) / steps * way + k * step_m * left;
      if (const std::optional<std::size_t> cell = cell_at(frame, place)) cells.insert(*cell);
    }
  }
  return cells;
}

}  // namespace

std::vector<std::size_t> cells_within(const GridFrame& frame, const std::vector<Eigen::Vector2d>& corners) {
  Eigen::Vector2d low = corners.front();
  Eigen::Vector2d high = corners.front();
  for (const Eigen::Vector2d& corner : corners) {
    low = low.cwiseMin(corner);
    high = high.cwiseMax(corner);
  }
  const Eigen::Vector2d origin = frame.lower_left_corner_m();
  const auto number = [&](double place_m, int axis, std::int32_t most) {
    const double cells = std::round((place_m - origin[axis]) / frame.cell_size_m);
    return static_cast<std::size_t>(std::clamp(cells, 0.0, static_cast<double>(most)));
  };
  std::vector<std::size_t> cells;
  for (std::size_t row = number(low.y(), 1, frame.rows); row < number(high.y(), 1, frame.rows); ++row) {
    for (std::size_t column = number(low.x(), 0, frame.columns); column < number(high.x(), 0, frame.columns);
         ++column) {
      const Eigen::Vector2d middle(static_cast<double>(column) + 0.5, static_cast<double>(row) + 0.5);
      if (contains(corners, origin + frame.cell_size_m * middle)) {
        cells.push_back(row * static_cast<std::size_t>(frame.columns) + column);
      }
    }
  }
  return cells;
}

std::size_t close_area(OccupancyGrid& grid, const std::vector<Eigen::Vector2d>& corners) {
  const std::vector<std::size_t> within = cells_within(grid.frame, corners);
  std::set<std::size_t> cells(within.begin(), within.end());
  for (std::size_t i = 0; i < corners.size(); ++i) {
    cells.merge(cells_along(grid.frame, corners[i], corners[(i + 1) % corners.size()], 0.0));
  }
  for (const std::size_t cell : cells) grid.probability[cell] = 1.0F;
  return cells.size();
}

void close_gap(OccupancyGrid& grid, const Eigen::Vector2d& from_m, const Eigen::Vector2d& to_m) {
  constexpr double kReachCells = 0.75;
  for (const std::size_t cell : cells_along(grid.frame, from_m, to_m, kReachCells)) grid.probability[cell] = 1.0F;
}

void take_leaf_away(OccupancyGrid& grid, const DoorLeaf& leaf) {
  constexpr double kReachCells = 1.5;  // a leaf of 4 cm, its faces blurred by a cell
  const double cell_m = grid.frame.cell_size_m;
  const Eigen::Vector2d along = (leaf.end_m - leaf.hinge_m).normalized();
  const Eigen::Vector2d from = leaf.hinge_m + 1.5 * cell_m * along;
  for (const std::size_t cell : cells_along(grid.frame, from, leaf.end_m + cell_m * along, kReachCells)) {
    float& probability = grid.probability[cell];
    if (static_cast<double>(probability) >= clearance_wall_probability) probability = 0.0F;
  }
}

}  // namespace wainscot
