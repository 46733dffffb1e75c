#include "graph/calibrate/way_fit.hpp"

#include <numbers>

#include <gtest/gtest.h>

#include "tests/graph/imagined_drive.hpp"

namespace wainscot {
namespace {

DriveVector ways_of(const ImaginedDrive& robot, double stated_width_m) {
  const Eigen::Vector2d by_ticks(robot.left / robot.width, robot.right / robot.width);
  return fit_ways(robot.increments.long_steps, TickClock(robot.drive.wheels), by_ticks, robot.offset_s, stated_width_m);
}

TEST(WayFit, FindsWidthAndMountingWithoutAStart) {
  ImaginedDrive robot;
  robot.sd_m = robot.sd_rad = 1e-4;
  robot.go(varied());
  const DriveVector found = ways_of(robot, 0.25);
  EXPECT_NEAR(found[kTrackWidth], robot.width, 0.001);
  EXPECT_NEAR(found[kLeftPerTick] / robot.left, 1.0, 0.004);
  EXPECT_NEAR(found[kLidarX], robot.mounting.x_m, 0.002);
  EXPECT_NEAR(found[kLidarY], robot.mounting.y_m, 0.002);
  EXPECT_NEAR(found[kLidarHeading], robot.mounting.heading_rad, 0.005);
  EXPECT_EQ(found[kClockOffset], robot.offset_s);
}

TEST(WayFit, ALidarThatLooksBackIsFoundWithAPositiveWidth) {
  ImaginedDrive robot;
  robot.mounting = {-0.05, 0.03, 0.95 * std::numbers::pi};
  robot.go(varied());
  const DriveVector found = ways_of(robot, 0.25);
  EXPECT_NEAR(found[kTrackWidth], robot.width, 0.003);
  EXPECT_NEAR(found[kLidarHeading], robot.mounting.heading_rad, 0.01);
}

TEST(WayFit, TheWidthStaysWithinFiveTimesTheStatedOne) {
  ImaginedDrive robot;
  robot.go(varied());
  EXPECT_DOUBLE_EQ(ways_of(robot, 0.04)[kTrackWidth], 0.2);
  EXPECT_DOUBLE_EQ(ways_of(robot, 2.0)[kTrackWidth], 0.4);
}

}  // namespace
}  // namespace wainscot
