#pragma once

// odometry.csv in millimetres or in degrees: told by how far and how much the lidar moved meanwhile.

#include <vector>

#include "core/drive.hpp"
#include "graph/check/finding.hpp"
#include "graph/check/readable_log.hpp"
#include "graph/motion/lidar_motion.hpp"

namespace wainscot {

/// Compares what the poses and the lidar moved in windows of some seconds, in sum, so that no clock needs to be right.
/// Mends `drive`: its poses, breaks and robot. `other`: the poses read with the other unit of headings, times alike;
/// taken over where they agree with the lidar. Nothing is found without odometry.csv or where the lidar hardly moved.
std::vector<Finding> mend_odometry_units(const LidarMotion& motion, const OtherHeadings* other, Drive& drive);

}  // namespace wainscot
