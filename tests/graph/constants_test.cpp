#include "graph/constants.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>
#include <Eigen/Dense>

namespace wainscot {
namespace {

Drive with_wheels() {
  Drive drive;
  drive.wheels = {{0.0, 0, 0}, {1.0, 1000, 1000}};
  DriveConstants constants;
  constants.left_m_per_tick = -1e-4;
  constants.right_m_per_tick = 1e-4;
  constants.track_width_m = 0.25;
  constants.left_sd_m_per_tick = 2e-7;   // 0.2 %
  constants.right_sd_m_per_tick = 1e-7;  // 0.1 %
  constants.track_width_sd_m = 0.0025;   // 1 %
  drive.robot.drive = constants;
  return drive;
}

TEST(Constants, ZeroIsAsRobotYamlStates) {
  LidarConstants stated;
  stated.x_m = 0.1;
  stated.heading_deg = 90.0;
  stated.range_scale = 1.01;
  const LidarModel model = Constants().lidar(stated);
  EXPECT_EQ(model.mounting.x_m, 0.1);
  EXPECT_NEAR(model.mounting.heading_rad, 0.5 * std::numbers::pi, 1e-12);
  EXPECT_EQ(model.range_scale, 1.01);
  EXPECT_EQ(Constants().odometry().distance_scale, 0.0);
  EXPECT_EQ(Constants().wheel_time_s(7.0, 3.0), 7.0);
}

TEST(Constants, ChangesReachLidarAndOdometry) {
  Constants constants;
  for (int c = 0; c < kConstants; ++c) constants.change[c] = 0.01 * (c + 1);
  LidarConstants stated;
  stated.range_scale = 2.0;
  const LidarModel before = lidar_model(stated);
  const LidarModel model = constants.lidar(stated);
  EXPECT_DOUBLE_EQ(model.mounting.x_m, 0.01);
  EXPECT_DOUBLE_EQ(model.mounting.y_m, 0.02);
  EXPECT_DOUBLE_EQ(model.mounting.heading_rad, 0.03);
  EXPECT_DOUBLE_EQ(model.range_scale, 2.0 * 1.04);
  EXPECT_DOUBLE_EQ(model.range_offset_m, 0.05);
  EXPECT_DOUBLE_EQ(model.sweep_scale, before.sweep_scale + 0.06);
  const OdometryCorrection odometry = constants.odometry();
  EXPECT_EQ(odometry.distance_scale, constants.change[kDistanceScale]);
  EXPECT_EQ(odometry.turn_scale, constants.change[kTurnScale]);
  EXPECT_EQ(odometry.curvature_rad_per_m, constants.change[kCurvature]);
  EXPECT_EQ(odometry.slip_in_turns, constants.change[kSlipInTurns]);
  EXPECT_EQ(odometry.gyro_bias_rad_s, constants.change[kGyroBias]);
  EXPECT_EQ(odometry.gyro_scale, constants.change[kGyroScale]);
}

TEST(Constants, TheClocksRateTurnsAboutTheMiddle) {
  Constants constants;
  constants.change[kTimeOffset] = 0.02;
  constants.change[kClockRate] = 1e-3;
  EXPECT_DOUBLE_EQ(constants.wheel_time_s(100.0, 100.0), 100.02);
  EXPECT_DOUBLE_EQ(constants.wheel_time_s(150.0, 100.0), 150.07);
}

// By hand: the way is the mean of both wheels, a turn their difference over the width.
TEST(Constants, ThePriorOfTheWheelsIsTheirStatedUncertainty) {
  const ConstantMatrix prior = constant_prior(with_wheels());
  const double l2 = 0.002 * 0.002;
  const double r2 = 0.001 * 0.001;
  const double w2 = 0.01 * 0.01;
  EXPECT_NEAR(prior(kDistanceScale, kDistanceScale), 0.25 * (l2 + r2), 1e-15);
  EXPECT_NEAR(prior(kTurnScale, kTurnScale), 0.25 * (l2 + r2) + w2, 1e-15);
  EXPECT_NEAR(prior(kCurvature, kCurvature), (l2 + r2) / (0.25 * 0.25), 1e-15);
  EXPECT_NEAR(prior(kDistanceScale, kTurnScale), 0.25 * (l2 + r2), 1e-15);
  EXPECT_NEAR(prior(kDistanceScale, kCurvature), 0.5 * (r2 - l2) / 0.25, 1e-15);
}

TEST(Constants, WhatIsNotStatedIsWhatIsUsual) {
  Drive drive = with_wheels();
  drive.robot.drive->left_sd_m_per_tick.reset();
  drive.robot.drive->right_sd_m_per_tick.reset();
  drive.robot.drive->track_width_sd_m.reset();
  const ConstantMatrix prior = constant_prior(drive);
  EXPECT_NEAR(prior(kDistanceScale, kDistanceScale), 0.5 * 0.01 * 0.01, 1e-15);
  EXPECT_NEAR(prior(kTurnScale, kTurnScale), 0.5 * 0.01 * 0.01 + 0.04 * 0.04, 1e-15);
  Drive odometry;
  odometry.odometry = {{0.0, {}}, {1.0, {}}};
  EXPECT_EQ(constant_prior(odometry)(kDistanceScale, kTurnScale), 0.0);
  EXPECT_NEAR(constant_prior(odometry)(kDistanceScale, kDistanceScale), 0.03 * 0.03, 1e-15);
}

TEST(Constants, WhatADriveDoesNotHaveIsHeld) {
  Drive drive = with_wheels();
  EXPECT_LT(constant_prior(drive)(kGyroBias, kGyroBias), 1e-15);
  drive.robot.lidar.sweep_s = 0.0;
  EXPECT_LT(constant_prior(drive)(kSweepScale, kSweepScale), 1e-15);
  drive.robot.lidar.sweep_s = 0.1;
  EXPECT_NEAR(constant_prior(drive)(kSweepScale, kSweepScale), 0.05 * 0.05, 1e-15);
  drive.robot.gyro.bias_rad_s = 0.01;
  drive.gyro = {{0.0, 0.01}, {1.0, 0.01}};
  EXPECT_NEAR(constant_prior(drive)(kGyroBias, kGyroBias), 0.02 * 0.02, 1e-15);
}

TEST(Constants, TheirUncertaintyGrowsWithTheWayAndTheTurn) {
  OdometryStep ahead;
  ahead.end_s = 10.0;
  ahead.motion = {3.0, 0.0, 0.0};
  OdometryStep turn;
  turn.begin_s = 10.0;
  turn.end_s = 14.0;
  turn.motion = {0.0, 0.0, -2.0};
  const OdometryPath path({ahead, turn}, {});
  const ConstantMatrix prior = constant_prior(with_wheels());
  const Eigen::Vector3d straight = constants_variance(prior, path, 0.0, 10.0, false);
  EXPECT_NEAR(straight[0], 1e-6 + 9.0 * prior(kDistanceScale, kDistanceScale), 1e-12);
  EXPECT_NEAR(straight[1], 1e-6, 1e-12);
  EXPECT_NEAR(straight[2], 1e-6 + 9.0 * prior(kCurvature, kCurvature), 1e-12);
  const Eigen::Vector3d turned = constants_variance(prior, path, 10.0, 14.0, false);
  EXPECT_NEAR(turned[0], 1e-6, 1e-12);
  EXPECT_NEAR(turned[2], 1e-6 + 4.0 * prior(kTurnScale, kTurnScale), 1e-12);
  // A gyro drifts by 3 mrad/s at most while nothing shows its bias.
  const double drift = 0.003 * 4.0;
  EXPECT_NEAR(constants_variance(prior, path, 10.0, 14.0, true)[2], turned[2] + drift * drift, 1e-12);
}

}  // namespace
}  // namespace wainscot
