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

/// How far wheels and scans must be apart for an event: one must matter, not only be beyond chance; build bridges what
/// is smaller.
inline constexpr double kSlipM = 0.06;
inline constexpr double kSlipRad = 0.08;

/// In order of time. `by_other_clocks`: fits of the same strides by other clocks that may be the right one; what is no
/// slip by one of them is none. `path`: odometry by the constants as mended, for the places and for what the wheels
/// claim. `witness`: what the scans bear out, or do not confirm both ways round, is no event; nullptr: the strides
/// stand as they are.
std::vector<Finding> motion_events(const LidarMotion& motion, const std::vector<LidarStride>& strides,
                                   const RobotFit& fit, const std::vector<RobotFit>& by_other_clocks,
                                   const WheelSeries& wheels, const ClockFit& clock, const OdometryPath& path,
                                   const ScanWitness* witness);

}  // namespace wainscot
