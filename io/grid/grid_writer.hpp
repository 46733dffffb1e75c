#pragma once

// The occupancy grid as a binary PGM (Netpbm, "PGM format specification", magic number P5) and its sidecar.

#include <cstdint>
#include <string>

#include "core/drives.hpp"
#include "core/occupancy_grid.hpp"
#include "core/pose2.hpp"
#include "io/map_origin.hpp"

namespace wainscot {

/// Three different grey levels; what lies between wall and free floor is between theirs.
struct GreyLevels {
  std::uint8_t occupied = 0;
  std::uint8_t free = 255;
  std::uint8_t unseen = 128;
};

/// Grey level of a cell: round(occupied + (free - occupied) (1 - p)); `unseen` for a cell never seen (NaN), the next
/// level towards `occupied` for a seen one that would round to `unseen`. `probability` in 0..1 or NaN.
std::uint8_t grid_level(float probability, const GreyLevels& levels = {});

/// The bytes of grid.pgm: maxval 255, first row is the largest y.
std::string grid_pgm(const OccupancyGrid& grid);

/// The text of grid.yaml. `first_pose` is the pose of the first used scan in the map frame.
std::string grid_yaml(const GridFrame& frame, const Pose2& first_pose, Drives drives, const MapOrigin& origin);

}  // namespace wainscot
