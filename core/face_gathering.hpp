#pragma once

#include "core/cell_votes.hpp"
#include "core/occupancy_grid.hpp"
#include "core/rasteriser.hpp"

namespace wainscot {

/// Makes each wall face one cell thick, since range noise spreads its hits over two or three: from the highest score
/// down, a cell takes the hits of its neighbours across the wall. Only occupied cells take, so wherever a cell was
/// emptied an occupied one is near. `grid`: of the votes' frame, each cell as its own votes have it; NaN where no beam
/// came.
void gather_faces(const CellVotes& votes, const RasteriserOptions& options, OccupancyGrid& grid);

}  // namespace wainscot
