#include "graph/calibrate/drive_constants.hpp"

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/imagined_drive.hpp"

namespace wainscot {
namespace {

ImaginedDrive exact_drive() {
  ImaginedDrive robot;
  robot.sd_m = robot.sd_rad = 0.0;
  robot.go(varied());
  return robot;
}

TEST(DriveConstants, TheTrueOnesExplainEveryIncrement) {
  const ImaginedDrive robot = exact_drive();
  const TickClock ticks(robot.drive.wheels);
  for (const ScanIncrement& step : robot.increments.long_steps) {
    const Tangent2 difference = increment_difference(robot.truth(), ticks, step);
    EXPECT_LT(difference.head<2>().norm(), 0.001);
    EXPECT_LT(std::abs(difference.z()), 0.005);  // rows are 20 ms apart
  }
}

TEST(DriveConstants, WrongOnesDoNot) {
  const ImaginedDrive robot = exact_drive();
  const TickClock ticks(robot.drive.wheels);
  for (int c = 0; c < kDriveConstants; ++c) {
    DriveVector wrong = robot.truth();
    wrong[c] += c < kTrackWidth ? 0.2 * wrong[c] : 0.1;
    double worst = 0.0;
    for (const ScanIncrement& step : robot.increments.long_steps) {
      worst = std::max(worst, increment_difference(wrong, ticks, step).norm());
    }
    EXPECT_GT(worst, 0.015) << c;
  }
}

TEST(DriveConstants, TheRobotGoesWhereItsWheelsRoll) {
  const TickClock ticks({{0.0, 0, 0}, {1.0, 1000, 1000}, {2.0, 500, 1500}});
  DriveVector constants = DriveVector::Zero();
  constants.head<3>() << 0.001, 0.001, 0.5;
  ScanIncrement step;
  step.begin_s = 0.0;
  step.end_s = 2.0;
  const Pose2 moved = robot_motion(constants, ticks, step);
  EXPECT_NEAR(moved.x_m, 1.0, 1e-12);
  EXPECT_NEAR(moved.heading_rad, 2.0, 1e-12);  // 0.5 m each way on a track of 0.5 m
  constants[kClockOffset] = -1.0;              // the lidar's times are a second late
  EXPECT_NEAR(robot_motion(constants, ticks, step).heading_rad, 0.0, 1e-12);
}

TEST(DriveConstants, TheCovarianceIsTheMatchsAndTheWheels) {
  const TickClock ticks({{0.0, 0, 0}, {1.0, 1000, 1000}});
  DriveVector constants = DriveVector::Zero();
  constants.head<3>() << 0.001, 0.001, 0.5;
  ScanIncrement step;
  step.end_s = 1.0;
  step.covariance = 1e-4 * Eigen::Matrix3d::Identity();
  const Eigen::Matrix3d covariance = increment_covariance(constants, ticks, {0.02, 0.01, 0.05, 0.03}, step);
  EXPECT_NEAR(covariance(0, 0), 1e-4 + 0.02 * 0.02 + 1e-6, 1e-12);
  EXPECT_NEAR(covariance(1, 1), 1e-4 + 0.01 * 0.01 + 1e-6, 1e-12);
  EXPECT_NEAR(covariance(2, 2), 1e-4 + 0.03 * 0.03 + 1e-6, 1e-12);
  constants[kLidarX] = 0.2;  // there the wheels' turns move it sideways
  EXPECT_GT(increment_covariance(constants, ticks, {0.02, 0.01, 0.05, 0.03}, step)(1, 1), covariance(1, 1) + 3e-5);
}

}  // namespace
}  // namespace wainscot
