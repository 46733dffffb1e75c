#include "graph/calibrate/calibrated_robot.hpp"

#include <numbers>

#include <gtest/gtest.h>

#include "tests/graph/imagined_drive.hpp"

namespace wainscot {
namespace {

/// All observed.
DriveCalibration found_constants() {
  DriveCalibration found;
  found.found << 1e-4, 2e-4, 0.3, 0.1, -0.2, 0.5 * std::numbers::pi, 0.04;
  found.covariance(kLeftPerTick, kLeftPerTick) = 1e-14;
  found.covariance(kTrackWidth, kTrackWidth) = 1e-6;
  found.observed.fill(true);
  return found;
}

Robot stated_robot() {
  Robot robot;
  robot.drive = DriveConstants{};
  robot.drive->left_m_per_tick = 9e-5;
  robot.drive->track_width_m = 0.25;
  robot.lidar.time_offset_s = 0.01;
  return robot;
}

TEST(CalibratedRobot, TakesAllThatWasObserved) {
  const Robot robot = calibrated_robot(stated_robot(), found_constants());
  EXPECT_EQ(robot.drive->left_m_per_tick, 1e-4);
  EXPECT_EQ(robot.drive->right_m_per_tick, 2e-4);
  EXPECT_NEAR(*robot.drive->left_sd_m_per_tick, 1e-7, 1e-12);
  EXPECT_EQ(robot.drive->track_width_m, 0.3);
  EXPECT_NEAR(*robot.drive->track_width_sd_m, 1e-3, 1e-12);
  EXPECT_EQ(robot.lidar.x_m, 0.1);
  EXPECT_EQ(robot.lidar.y_m, -0.2);
  EXPECT_NEAR(robot.lidar.heading_deg, 90.0, 1e-12);
  EXPECT_NEAR(robot.lidar.time_offset_s, 0.05, 1e-12);  // added to what the drive's times have already
}

TEST(CalibratedRobot, AWidthMeansNothingWithoutItsWheels) {
  DriveCalibration found = found_constants();
  found.observed[kRightPerTick] = false;
  const Robot robot = calibrated_robot(stated_robot(), found);
  EXPECT_EQ(robot.drive->left_m_per_tick, 9e-5);
  EXPECT_EQ(robot.drive->track_width_m, 0.25);
  EXPECT_FALSE(robot.drive->track_width_sd_m.has_value());
  EXPECT_EQ(robot.lidar.x_m, 0.1);
}

TEST(CalibratedRobot, OnlyWhatWasSeenReachesTheRobot) {
  ImaginedDrive straight;
  straight.go({{0.3, 0.0, 40.0}});
  const Robot robot = calibrated_robot(straight.drive.robot, calibrate_drive(straight.drive, straight.increments));
  EXPECT_EQ(robot.drive->track_width_m, 0.25);
  EXPECT_EQ(robot.lidar.x_m, 0.0);
}

}  // namespace
}  // namespace wainscot
