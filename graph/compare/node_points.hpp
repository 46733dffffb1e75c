#pragma once

#include <cstddef>
#include <vector>

#include "core/drive.hpp"
#include "graph/map.hpp"
#include "scanmatch/motion_correction.hpp"

namespace wainscot {

/// The lidar's constants as the map found them, where it did; else as robot.yaml states them.
LidarModel found_lidar(const Map& map, const Robot& robot);

/// The returns of a node's scan in the frame of the robot at the scan's first beam, in the order of firing, corrected
/// for the robot's motion along the map's trajectory. `node`: index into map.graph.nodes, whose scan is one of
/// drive.scans. `lidar`: of found_lidar().
std::vector<ScanPoint> node_points(const Map& map, const Drive& drive, const LidarModel& lidar, std::size_t node);

}  // namespace wainscot
