#pragma once

#include <vector>

#include "core/occupancy_grid.hpp"
#include "core/pose2.hpp"

namespace wainscot {

/// A node's pose before and after its map was extended.
struct MovedPose {
  Pose2 before;
  Pose2 after;
};

/// Fills what `grid` does not know with the cells of the map's old grid, moved as the nearest node was: that one was
/// drawn from all scans of the old drives, this one from those of their nodes. A cell is taken where the grid has never
/// seen it; a wall also where the grid has none beside it and has not seen free floor all round. `nodes`: at least one.
void keep_old_cells(const OccupancyGrid& old_grid, const std::vector<MovedPose>& nodes, OccupancyGrid& grid);

}  // namespace wainscot
