#pragma once

// The occupancy grid of a finished map: every scan's beams from its final pose.

#include <cstddef>
#include <vector>

#include "core/drive.hpp"
#include "core/occupancy_grid.hpp"
#include "core/rasteriser.hpp"
#include "graph/adjust/scan_poses.hpp"
#include "graph/changes.hpp"
#include "graph/drive_part.hpp"

namespace wainscot {

struct DrawnGrid {
  OccupancyGrid grid;
  std::vector<Change> changes;
  std::vector<std::vector<CellEvent>> histories;  ///< of the watched cells; an event's scan is an index into `scans`
};

/// `found_noise`: of single ranges, as the scans show it. `parts`: of a recording that was joined from several; where
/// one of them saw the house changed, the grid is as it saw it last. `watched`: indices into the grid's cells whose
/// histories are wanted.
DrawnGrid draw_grid(const Drive& drive, const std::vector<ScanPose>& scans, const BeamsOfScan& beams_of,
                    const RangeNoise& found_noise, double cell_size_m, const std::vector<DrivePart>& parts = {},
                    const std::vector<std::size_t>& watched = {});

/// How well the finished grid explains what was seen: returns with a normal that end within one cell of an occupied
/// cell / all such returns. People, moved things and above all walls drawn twice lower it.
double fraction_on_walls(const OccupancyGrid& grid, const std::vector<ScanPose>& scans, const BeamsOfScan& beams_of);

}  // namespace wainscot
