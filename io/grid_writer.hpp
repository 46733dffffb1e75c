#pragma once

// The occupancy grid as a binary PGM (Netpbm, "PGM format specification", magic number P5) and its sidecar.

#include <cstdint>
#include <string>

#include "core/drives.hpp"
#include "core/occupancy_grid.hpp"
#include "core/pose2.hpp"
#include "io/map_origin.hpp"

namespace wainscot {

/// Grey level of a cell: round(255 (1 - p)); 128 for a cell never seen (NaN), 127 for a seen one that would round to
/// 128. `probability` in 0..1 or NaN.
std::uint8_t grid_level(float probability);

/// The bytes of grid.pgm: maxval 255, first row is the largest y.
std::string grid_pgm(const OccupancyGrid& grid);

/// The text of grid.yaml. `first_pose` is the pose of the first used scan in the map frame.
std::string grid_yaml(const GridFrame& frame, const Pose2& first_pose, Drives drives, const MapOrigin& origin);

}  // namespace wainscot
