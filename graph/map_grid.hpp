#pragma once

// The occupancy grid of a finished map: every scan's beams from its final pose.

#include <vector>

#include "core/drive.hpp"
#include "core/occupancy_grid.hpp"
#include "graph/joint_adjustment.hpp"
#include "graph/scan_poses.hpp"

namespace wainscot {

OccupancyGrid draw_grid(const Drive& drive, const JointResult& adjusted, const std::vector<ScanPose>& scans,
                        double cell_size_m);

}  // namespace wainscot
