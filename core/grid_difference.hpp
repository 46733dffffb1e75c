#pragma once

// Where two occupancy grids differ, one of them moved onto the other.

#include <cstddef>
#include <cstdint>
#include <vector>

#include "core/occupancy_grid.hpp"
#include "core/pose2.hpp"

namespace wainscot {

struct GridDifferenceOptions {
  double occupied = 0.6;  ///< a cell at least so probable is wall,
  double free = 0.4;      ///< one at most so probable is free floor; what lies between is undecided
  double reach_m = 0.08;  ///< a wall whose middle lies within this of the other map's is the same: a cell and a half
};

enum class CellDifference : std::uint8_t {
  unseen,        ///< in both, or undecided
  floor,         ///< free in both, or free in one and unseen in the other
  wall_in_both,  ///< in one, with wall of the other within reach; or in one where the other saw nothing
  only_first,    ///< wall in the first where the second saw free floor
  only_second,   ///< wall in the second where the first saw free floor
};

struct GridDifference {
  GridFrame frame;                   ///< on the first grid's lattice, round both grids
  std::vector<CellDifference> cell;  ///< row by row, row 0 the lowest
  std::size_t count(CellDifference kind) const;
};

/// `first_second` is the pose of the second grid's frame in the first's. Grids of any cell sizes.
GridDifference grid_difference(const OccupancyGrid& first, const OccupancyGrid& second, const Pose2& first_second,
                               const GridDifferenceOptions& options = {});

}  // namespace wainscot
