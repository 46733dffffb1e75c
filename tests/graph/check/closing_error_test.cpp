#include "graph/check/closing_error.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "graph/check/log_check.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

/// Around the ring of rooms and back to the start.
DrivenHouse ring_drive() {
  simulator::Plan plan = ring_house(1);
  plan.route.pop_back();
  return driven(plan);
}

std::optional<ClosingError> closing_of(const Drive& drive) {
  LogReadings readings;
  readings.drive = drive;
  readings.logged = drive.scans;
  return check_log(readings).closing;
}

/// Constants stated as well as calibration knows them.
void state_uncertainties(Drive& drive) {
  DriveConstants& d = *drive.robot.drive;
  d.left_sd_m_per_tick = 0.001 * d.left_m_per_tick;
  d.right_sd_m_per_tick = 0.001 * d.right_m_per_tick;
  d.track_width_sd_m = 0.005 * d.track_width_m;
  drive.robot.motion_noise = {0.005, 0.01};
}

TEST(ClosingError, FindsTheEndByTheScans) {
  DrivenHouse house = ring_drive();
  state_uncertainties(house.drive);
  const auto closing = closing_of(house.drive);
  ASSERT_TRUE(closing.has_value());
  const double from_s = house.drive.scans.front().time_s;
  const double to_s = house.drive.scans.back().time_s;
  const Pose2 truth = between(house.true_pose(from_s), house.true_pose(to_s));
  EXPECT_NEAR(closing->true_end.x_m, truth.x_m, 0.04);
  EXPECT_NEAR(closing->true_end.y_m, truth.y_m, 0.04);
  EXPECT_NEAR(wrap_angle(closing->true_end.heading_rad - truth.heading_rad), 0.0, 0.01);
  EXPECT_LT(closing->error.translation().norm(), 0.1);
  EXPECT_EQ(closing->cause, ClosingCause::within_expectation);
}

TEST(ClosingError, WrongConstantsAreToBlame) {
  DrivenHouse house = ring_drive();
  state_uncertainties(house.drive);
  house.drive.robot.drive->track_width_m *= 1.12;
  const auto closing = closing_of(house.drive);
  ASSERT_TRUE(closing.has_value());
  EXPECT_GT(std::abs(closing->error.heading_rad), 0.2);
  EXPECT_LT(std::abs(closing->error_as_found.heading_rad), 0.1);
  EXPECT_EQ(closing->cause, ClosingCause::constants);
}

TEST(ClosingError, SlipIsToBlame) {
  DrivenHouse house = ring_drive();
  state_uncertainties(house.drive);
  const double late_s = 0.97 * house.drive.wheels.back().time_s;  // so that odometry still ends near the start
  for (WheelCounts& row : house.drive.wheels) {
    if (row.time_s > late_s) row.left_ticks += std::llround(0.3 / house.drive.robot.drive->left_m_per_tick);
  }
  const auto closing = closing_of(house.drive);
  ASSERT_TRUE(closing.has_value());
  EXPECT_EQ(closing->cause, ClosingCause::slip);
}

TEST(ClosingError, ADriveThatEndsElsewhereHasNone) {
  simulator::Plan plan = ring_house(1);
  plan.route.resize(3);
  EXPECT_FALSE(closing_of(driven(plan).drive).has_value());
}

}  // namespace
}  // namespace wainscot
