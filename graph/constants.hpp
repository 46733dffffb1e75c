#pragma once

// The robot's constants as unknowns: the lidar's mounting, range and sweep, odometry's correction, the lidar's clock.

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "scanmatch/motion_correction.hpp"

namespace wainscot {

/// The constants among the unknowns, in this order in every vector and matrix.
enum Constant : int {
  kMountingX,
  kMountingY,
  kMountingHeading,
  kRangeScale,
  kRangeOffset,
  kSweepScale,
  kDistanceScale,
  kTurnScale,
  kCurvature,
  kSlipInTurns,
  kGyroBias,
  kGyroScale,
  kTimeOffset,
  kClockRate,
  kConstants
};

using ConstantVector = Eigen::Matrix<double, kConstants, 1>;
using ConstantMatrix = Eigen::Matrix<double, kConstants, kConstants>;

/// The constants' values: differences from what robot.yaml states (m, rad, 1, s).
struct Constants {
  ConstantVector change = ConstantVector::Zero();

  OdometryCorrection odometry() const;
  LidarModel lidar(const LidarConstants& stated) const;
  /// A time of the lidar's clock on the wheels' clock. `middle_s`: where the clock's rate turns about.
  double wheel_time_s(double lidar_time_s, double middle_s) const;
};

/// Covariance of the constants before anything is measured: robot.yaml's uncertainties, or what is usual of hobby
/// robots.
ConstantMatrix constant_prior(const Drive& drive);

/// What the constants' own uncertainty adds to the variance of the motion between two times: along, across (m2),
/// heading (rad2). `gyro`: whether one was used.
Eigen::Vector3d constants_variance(const ConstantMatrix& prior, const OdometryPath& path, double from_s, double to_s,
                                   bool gyro);

}  // namespace wainscot
