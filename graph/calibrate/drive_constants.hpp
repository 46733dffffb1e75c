#pragma once

// The seven constants that a drive is asked for, and the motion of the robot and of its lidar that they give.

#include <Eigen/Core>

#include "core/odometry.hpp"
#include "core/pose2.hpp"
#include "graph/calibrate/tick_clock.hpp"
#include "graph/motion/scan_increments.hpp"

namespace wainscot {

/// The unknowns, in this order in every vector and matrix.
enum DriveConstant : int {
  kLeftPerTick,
  kRightPerTick,
  kTrackWidth,
  kLidarX,
  kLidarY,
  kLidarHeading,
  kClockOffset,
  kDriveConstants
};

/// m/tick, m/tick, m, m, m, rad, s. The offset is added to the lidar's times as the drive has them.
using DriveVector = Eigen::Matrix<double, kDriveConstants, 1>;
using DriveMatrix = Eigen::Matrix<double, kDriveConstants, kDriveConstants>;

/// Of the lidar in the robot's frame.
Pose2 mounting_of(const DriveVector& constants);

/// The robot's motion during an increment by the wheels, in its frame at the begin.
Pose2 robot_motion(const DriveVector& constants, const TickClock& ticks, const ScanIncrement& step);

/// Found minus expected motion of the lidar, tangent of its end (m, m, rad).
Tangent2 increment_difference(const DriveVector& constants, const TickClock& ticks, const ScanIncrement& step);

/// Covariance of that difference: the match and the wheels' scatter, the latter seen from the lidar.
Eigen::Matrix3d increment_covariance(const DriveVector& constants, const TickClock& ticks, const OdometryNoise& noise,
                                     const ScanIncrement& step);

}  // namespace wainscot
