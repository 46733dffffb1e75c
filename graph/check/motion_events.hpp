#pragma once

// Where wheels and floor parted company: the robot slipped, was stuck or was lifted.

#include <vector>

#include "core/odometry.hpp"
#include "graph/check/finding.hpp"
#include "graph/check/scan_witness.hpp"
#include "graph/motion/clock_fit.hpp"
#include "graph/motion/lidar_motion.hpp"
#include "graph/motion/robot_fit.hpp"

namespace wainscot {

/// In order of time. `path`: odometry by the constants as mended, for the places and for what the wheels claim.
/// `witness`: what the scans bear out, or do not confirm both ways round, is no event; nullptr: the strides stand as
/// they are.
std::vector<Finding> motion_events(const LidarMotion& motion, const std::vector<LidarStride>& strides,
                                   const RobotFit& fit, const WheelSeries& wheels, const ClockFit& clock,
                                   const OdometryPath& path, const ScanWitness* witness);

}  // namespace wainscot
