#include "graph/changes.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include <Eigen/Dense>

namespace wainscot {
namespace {

using CellKey = std::pair<std::int32_t, std::int32_t>;  // row, column

/// Groups of cells that hang together, each grown from its first cell in row order.
std::vector<std::vector<ChangedCell>> groups_of(const std::vector<ChangedCell>& cells, std::int32_t reach,
                                                const ChangeOptions& options) {
  std::map<CellKey, ChangedCell> left;
  for (const ChangedCell& cell : cells) {
    const bool often = std::min(cell.visits_there, cell.visits_gone) >= options.least_visits;
    if (often) left[{cell.row, cell.column}] = cell;
  }
  std::vector<std::vector<ChangedCell>> groups;
  while (!left.empty()) {
    std::vector<ChangedCell> group{left.begin()->second};
    left.erase(left.begin());
    for (std::size_t i = 0; i < group.size(); ++i) {
      const ChangedCell at = group[i];
      for (std::int32_t row = at.row - reach; row <= at.row + reach; ++row) {
        for (std::int32_t column = at.column - reach; column <= at.column + reach; ++column) {
          const auto found = left.find({row, column});
          if (found == left.end()) continue;
          group.push_back(found->second);
          left.erase(found);
        }
      }
    }
    groups.push_back(std::move(group));
  }
  return groups;
}

int median_of(std::vector<int> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// Extent of the group along and across its principal axis.
struct Extent {
  Eigen::Vector2d from_m;
  Eigen::Vector2d to_m;
  double length_m;
  double thickness_m;
};

Extent extent_of(const GridFrame& frame, const std::vector<ChangedCell>& group) {
  std::vector<Eigen::Vector2d> places;
  Eigen::Vector2d mean = Eigen::Vector2d::Zero();
  for (const ChangedCell& cell : group) {
    places.push_back(frame.lower_left_corner_m() +
                     frame.cell_size_m * Eigen::Vector2d(cell.column + 0.5, cell.row + 0.5));
    mean += places.back();
  }
  mean /= static_cast<double>(places.size());
  Eigen::Matrix2d spread = Eigen::Matrix2d::Zero();
  for (const Eigen::Vector2d& p : places) spread += (p - mean) * (p - mean).transpose();
  const Eigen::Vector2d axis = Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d>(spread).eigenvectors().col(1);
  const Eigen::Vector2d across(-axis.y(), axis.x());
  double low = 0.0, high = 0.0, left = 0.0, right = 0.0;
  for (const Eigen::Vector2d& p : places) {
    low = std::min(low, axis.dot(p - mean));
    high = std::max(high, axis.dot(p - mean));
    left = std::min(left, across.dot(p - mean));
    right = std::max(right, across.dot(p - mean));
  }
  const double half_cell = 0.5 * frame.cell_size_m;
  return {mean + (low - half_cell) * axis, mean + (high + half_cell) * axis, high - low + frame.cell_size_m,
          right - left + frame.cell_size_m};
}

}  // namespace

std::vector<Change> find_changes(const GridFrame& frame, const std::vector<ChangedCell>& cells,
                                 const ChangeOptions& options) {
  const auto reach = std::max<std::int32_t>(1, static_cast<std::int32_t>(options.gap_m / frame.cell_size_m));
  std::vector<Change> changes;
  for (const std::vector<ChangedCell>& group : groups_of(cells, reach, options)) {
    const Extent extent = extent_of(frame, group);
    if (extent.length_m < options.least_length_m) continue;
    Change change;
    change.from_m = extent.from_m;
    change.to_m = extent.to_m;
    change.door = extent.length_m >= options.door_least_m && extent.length_m <= options.door_most_m &&
                  extent.thickness_m <= options.door_thickness_m;
    std::vector<int> there;
    std::vector<int> gone;
    for (const ChangedCell& cell : group) {
      there.push_back(cell.visits_there);
      gone.push_back(cell.visits_gone);
      change.cells.push_back(static_cast<std::size_t>(cell.row) * static_cast<std::size_t>(frame.columns) +
                             static_cast<std::size_t>(cell.column));
    }
    std::sort(change.cells.begin(), change.cells.end());
    change.visits_there = median_of(std::move(there));
    change.visits_gone = median_of(std::move(gone));
    changes.push_back(std::move(change));
  }
  std::stable_sort(changes.begin(), changes.end(), [](const Change& a, const Change& b) {
    return (a.to_m - a.from_m).norm() > (b.to_m - b.from_m).norm();
  });
  return changes;
}

void soften_doors(const std::vector<Change>& changes, OccupancyGrid& grid) {
  constexpr float kDoor = 0.4F;
  for (const Change& change : changes) {
    if (!change.door) continue;
    for (const std::size_t cell : change.cells) grid.probability[cell] = kDoor;
  }
}

}  // namespace wainscot
