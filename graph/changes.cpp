#include "graph/changes.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

#include <Eigen/Dense>

#include "graph/seen_round.hpp"

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

void sort_by_size(std::vector<Change>& changes) {
  std::stable_sort(changes.begin(), changes.end(), [](const Change& a, const Change& b) {
    return (a.to_m - a.from_m).norm() > (b.to_m - b.from_m).norm();
  });
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
  sort_by_size(changes);
  return changes;
}

namespace {

/// Whether the floor is free all round the cell: nothing stands within one cell, where a face may be drawn that has not
/// moved, and everything within two cells was seen.
bool free_around(const OccupancyGrid& grid, std::int32_t column, std::int32_t row) {
  if (!is_seen_all_round(grid, column, row)) return false;
  for (std::int32_t r = row - 1; r <= row + 1; ++r) {
    for (std::int32_t c = column - 1; c <= column + 1; ++c) {
      const std::size_t cell =
          static_cast<std::size_t>(r) * static_cast<std::size_t>(grid.frame.columns) + static_cast<std::size_t>(c);
      if (grid.probability[cell] > 0.5F) return false;
    }
  }
  return true;
}

/// Cells that are occupied for sure in `there` and free for sure in `gone`.
std::vector<ChangedCell> gone_cells(const OccupancyGrid& there, const OccupancyGrid& gone) {
  constexpr float kThere = 0.93F;   // a pane that answers now and then is less
  constexpr float kGone = 0.03F;    // three scans or more that saw through
  constexpr int kEnough = 1 << 20;  // visits are not counted here: the grids have weighed them
  std::vector<ChangedCell> cells;
  std::size_t cell = 0;
  for (std::int32_t row = 0; row < there.frame.rows; ++row) {
    for (std::int32_t column = 0; column < there.frame.columns; ++column, ++cell) {
      const bool changed = there.probability[cell] > kThere && gone.probability[cell] < kGone;
      if (changed && free_around(gone, column, row)) cells.push_back({column, row, kEnough, kEnough});
    }
  }
  return cells;
}

}  // namespace

std::vector<Change> find_changes_since(const OccupancyGrid& before, const OccupancyGrid& now, int drive,
                                       const ChangeOptions& options) {
  std::vector<Change> changes;
  for (const bool appeared : {false, true}) {
    const std::vector<ChangedCell> cells = appeared ? gone_cells(now, before) : gone_cells(before, now);
    for (Change& change : find_changes(before.frame, cells, options)) {
      change.since_drive = drive;
      change.appeared = appeared;
      change.visits_there = change.visits_gone = 0;
      changes.push_back(std::move(change));
    }
  }
  sort_by_size(changes);
  return changes;
}

std::vector<Change> apart_from(std::vector<Change> changes, const std::vector<Change>& others, const GridFrame& frame) {
  std::set<std::size_t> taken;
  for (const Change& other : others) {
    for (const std::size_t cell : other.cells) {
      const auto columns = static_cast<std::size_t>(frame.columns);
      for (const std::size_t beside : {cell - columns, cell, cell + columns}) {
        taken.insert({beside - 1, beside, beside + 1});
      }
    }
  }
  std::erase_if(changes, [&taken](const Change& change) {
    return std::any_of(change.cells.begin(), change.cells.end(),
                       [&taken](std::size_t cell) { return taken.contains(cell); });
  });
  return changes;
}

void soften_doors(const std::vector<Change>& changes, OccupancyGrid& grid) {
  constexpr float kDoor = 0.4F;  // between what is taken for floor and for wall, on the floor's side
  for (const Change& change : changes) {
    if (!change.door || change.since_drive != 0) continue;
    for (const std::size_t cell : change.cells) grid.probability[cell] = kDoor;
  }
}

}  // namespace wainscot
