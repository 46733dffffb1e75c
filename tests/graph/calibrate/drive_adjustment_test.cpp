#include "graph/calibrate/drive_adjustment.hpp"

#include <cmath>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/imagined_drive.hpp"

namespace wainscot {
namespace {

DriveAdjustment adjusted_from(const ImaginedDrive& robot, const DriveVector& start) {
  return adjust_drive(robot.increments.long_steps, TickClock(robot.drive.wheels), odometry_noise(robot.drive.robot),
                      start);
}

TEST(DriveAdjustment, ComesBackFromAStartThatIsOff) {
  ImaginedDrive robot;
  robot.sd_m = robot.sd_rad = 1e-6;
  robot.go(varied());
  DriveVector start = robot.truth();
  start.head<3>() *= 1.05;
  start[kLidarX] += 0.03;
  start[kLidarHeading] -= 0.05;
  start[kClockOffset] += 0.01;
  const DriveVector error = adjusted_from(robot, start).found - robot.truth();
  EXPECT_LT(error.head<3>().cwiseQuotient(robot.truth().head<3>()).cwiseAbs().maxCoeff(), 5e-4);
  EXPECT_LT(error.tail<4>().cwiseAbs().maxCoeff(), 1e-3);
}

TEST(DriveAdjustment, WhatIsLeftOpenStaysAtTheStart) {
  ImaginedDrive robot;
  // Exact, with equal counts: noise and rounding to ticks look like small turns, and those tell of the lidar's place.
  robot.right = robot.left;
  robot.sd_m = robot.sd_rad = 1e-6;
  robot.go({{0.3, 0.0, 40.0}});  // never turns: no width, no place of the lidar
  DriveVector start = robot.truth();
  start[kLidarX] += 0.1;  // not at the truth, which a fit could find again
  const DriveAdjustment adjusted = adjusted_from(robot, start);
  EXPECT_NEAR(adjusted.found[kLidarX], start[kLidarX], 0.02);
  EXPECT_GT(std::sqrt(adjusted.covariance(kLidarX, kLidarX)), 0.3);
  EXPECT_LT(std::sqrt(adjusted.covariance(kLidarHeading, kLidarHeading)), 0.01);
}

TEST(DriveAdjustment, NoiseMovesWhatIsLeftOpenWithinItsUncertainty) {
  ImaginedDrive robot;
  robot.go({{0.3, 0.0, 40.0}});
  const DriveAdjustment adjusted = adjusted_from(robot, robot.truth());
  const double sd = std::sqrt(adjusted.covariance(kLidarX, kLidarX));
  EXPECT_GT(sd, 0.3);
  EXPECT_NEAR(adjusted.found[kLidarX], robot.truth()[kLidarX], sd);
  EXPECT_LT(std::sqrt(adjusted.covariance(kLidarHeading, kLidarHeading)), 0.01);
}

TEST(DriveAdjustment, ADozenBlocksWhereThereAreEnoughIncrements) {
  ImaginedDrive robot;
  robot.go(varied());
  EXPECT_EQ(adjusted_from(robot, robot.truth()).blocks, 12);
  robot.increments.long_steps.resize(30);
  EXPECT_EQ(adjusted_from(robot, robot.truth()).blocks, 5);
}

}  // namespace
}  // namespace wainscot
