#include "graph/calibrate/drive_constants.hpp"

#include <cmath>

namespace wainscot {

Pose2 mounting_of(const DriveVector& constants) {
  return {constants[kLidarX], constants[kLidarY], constants[kLidarHeading]};
}

Pose2 robot_motion(const DriveVector& constants, const TickClock& ticks, const ScanIncrement& step) {
  Pose2 robot;
  const double offset_s = constants[kClockOffset];
  for (const Ticks& piece : ticks.pieces(step.begin_s + offset_s, step.end_s + offset_s)) {
    const double l = constants[kLeftPerTick] * piece.left;
    const double r = constants[kRightPerTick] * piece.right;
    robot = robot * exp({0.5 * (l + r), 0.0, (r - l) / constants[kTrackWidth]});
  }
  return robot;
}

Tangent2 increment_difference(const DriveVector& constants, const TickClock& ticks, const ScanIncrement& step) {
  const Pose2 mounting = mounting_of(constants);
  Pose2 error = between(inverse(mounting) * robot_motion(constants, ticks, step) * mounting, step.motion);
  error.heading_rad = wrap_angle(error.heading_rad);
  return log(error);
}

Eigen::Matrix3d increment_covariance(const DriveVector& constants, const TickClock& ticks, const OdometryNoise& noise,
                                     const ScanIncrement& step) {
  const Pose2 robot = robot_motion(constants, ticks, step);
  const double way = robot.translation().norm();
  const double turn = std::abs(robot.heading_rad);
  const Eigen::Vector3d wheels(noise.sd_along_m_per_sqrt_m * noise.sd_along_m_per_sqrt_m * way,
                               noise.sd_across_m_per_sqrt_m * noise.sd_across_m_per_sqrt_m * way,
                               noise.sd_rad_per_sqrt_rad * noise.sd_rad_per_sqrt_rad * turn +
                                   noise.sd_rad_per_sqrt_m * noise.sd_rad_per_sqrt_m * way);
  const Eigen::Matrix3d carry = adjoint(inverse(mounting_of(constants)));
  constexpr double kFloor = 1e-6;  // 1 mm, 0.06 degrees: what rounding of a log's ranges leaves of a match
  return step.covariance + carry * wheels.asDiagonal() * carry.transpose() + kFloor * Eigen::Matrix3d::Identity();
}

}  // namespace wainscot
