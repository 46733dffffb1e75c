#include "graph/constants.hpp"

#include <cmath>

#include <Eigen/Dense>

namespace wainscot {

OdometryCorrection Constants::odometry() const {
  return {change[kDistanceScale], change[kTurnScale],   change[kCurvature],
          change[kGyroBias],      change[kSlipInTurns], change[kGyroScale]};
}

LidarModel Constants::lidar(const LidarConstants& stated) const {
  LidarModel model = lidar_model(stated);
  model.mounting.x_m += change[kMountingX];
  model.mounting.y_m += change[kMountingY];
  model.mounting.heading_rad += change[kMountingHeading];
  model.range_scale *= 1.0 + change[kRangeScale];
  model.range_offset_m += change[kRangeOffset];
  model.sweep_scale += change[kSweepScale];
  return model;
}

double Constants::wheel_time_s(double lidar_time_s, double middle_s) const {
  return lidar_time_s + change[kTimeOffset] + change[kClockRate] * (lidar_time_s - middle_s);
}

ConstantMatrix constant_prior(const Drive& drive) {
  ConstantVector sd;
  const double sweep_sd = drive.robot.lidar.sweep_s == 0.0 ? 1e-9 : drive.robot.lidar.sweep_s ? 0.05 : 0.01;
  const double none = 1e-9;  // a constant that the drive does not have
  const bool gyro = gyro_bias_rad_s(drive).has_value();
  // A tread that is dragged sideways by a turn gives way lengthwise too: friction opposes its whole sliding velocity,
  // so that what rolling resists with, r of the friction, is had only by a lengthwise slip of r times the sideways
  // speed (J. L. Martinez et al., "Approximating kinematics for tracked mobile robots", IJRR 24, 2005, for the treads'
  // sliding). A tread as long as the robot is wide slides at a quarter of its length times the turn rate, in the mean,
  // half of the speed with which turning rolls it: the share of the way that is lost is r / 2 times turning's share of
  // the rolling. With r up to a fifth (soft ground, stiff belts) that is 0.1.
  constexpr double kSlipInTurnsSd = 0.1;
  sd << 0.02, 0.02, 0.03, 0.005, 0.005, sweep_sd, 0.01, 0.03, 0.01, kSlipInTurnsSd, gyro ? 0.02 : none,
      gyro ? 0.02 : none, 0.05, 1e-4;
  ConstantMatrix covariance = sd.cwiseAbs2().asDiagonal();
  if (drive.wheels.empty() || !drive.robot.drive) {
    // Nothing says how a robot that integrates its poses itself was calibrated: six recorded ones were 0 to 3 % off.
    constexpr double kOfOthersPoses = 0.03;
    covariance(kDistanceScale, kDistanceScale) = kOfOthersPoses * kOfOthersPoses;
    return covariance;
  }
  // distance scale = (l + r) / 2, turn scale = (l + r) / 2 - w, curvature = (r - l) / width for relative errors l, r,
  // w.
  const DriveConstants& d = *drive.robot.drive;
  const double width = d.track_width_m;
  Eigen::Matrix3d by_errors;
  by_errors << 0.5, 0.5, 0.0, 0.5, 0.5, -1.0, -1.0 / width, 1.0 / width, 0.0;
  const Eigen::Vector3d errors(d.left_sd_m_per_tick ? *d.left_sd_m_per_tick / std::abs(d.left_m_per_tick) : 0.01,
                               d.right_sd_m_per_tick ? *d.right_sd_m_per_tick / std::abs(d.right_m_per_tick) : 0.01,
                               d.track_width_sd_m ? *d.track_width_sd_m / width : 0.04);
  const Eigen::Vector3d floored = errors.cwiseMax(1e-5);
  covariance.block<3, 3>(kDistanceScale, kDistanceScale) =
      by_errors * floored.cwiseAbs2().asDiagonal() * by_errors.transpose();
  return covariance;
}

Eigen::Vector3d constants_variance(const ConstantMatrix& prior, const OdometryPath& path, double from_s, double to_s,
                                   bool gyro) {
  // Chosen by hand: what a bias read at rest wanders by; 10 degrees in a minute.
  constexpr double kGyroBiasSdRadS = 0.003;
  constexpr double kFloor = 1e-6;  // 1 mm, 0.06 degrees
  const double way = path.way_at_m(to_s) - path.way_at_m(from_s);
  const double turned = path.turned_at_rad(to_s) - path.turned_at_rad(from_s);
  const double drift = gyro ? kGyroBiasSdRadS * (to_s - from_s) : 0.0;
  return {kFloor + way * way * prior(kDistanceScale, kDistanceScale), kFloor,
          kFloor + turned * turned * prior(kTurnScale, kTurnScale) + way * way * prior(kCurvature, kCurvature) +
              drift * drift};
}

}  // namespace wainscot
