#include "graph/check/explanation.hpp"

#include <cmath>
#include <numbers>
#include <utility>

#include <gtest/gtest.h>

#include "core/chi_squared.hpp"
#include "tests/graph/made_log.hpp"

namespace wainscot {
namespace {

/// A fit as an undisturbed drive of the made robot gives it, and the drive with what robot.yaml states.
struct Case {
  RobotFit fit;
  Drive drive;
};

Case sound(const Pose2& mounting = {0.08, 0.0, 0.0}) {
  Case one;
  one.fit.left_m_per_tick = one.fit.right_m_per_tick = 1e-4;
  one.fit.track_width_m = 0.3;
  one.fit.mounting = mounting;
  one.fit.scale_covariance = 1e-6 * Eigen::Matrix3d::Identity();
  one.fit.mounting_covariance = 1e-6 * Eigen::Matrix3d::Identity();
  one.fit.strides = 100;
  one.fit.drove = true;
  one.drive = made_log({}).drive;
  one.drive.robot.lidar.x_m = mounting.x_m;
  one.drive.robot.lidar.y_m = mounting.y_m;
  one.drive.robot.lidar.heading_deg = mounting.heading_rad * 180.0 / std::numbers::pi;
  return one;
}

/// What the scans of a lidar that is read the wrong way round give.
RobotFit mirrored(RobotFit fit) {
  fit.left_m_per_tick = -fit.left_m_per_tick;
  fit.right_m_per_tick = -fit.right_m_per_tick;
  fit.mounting = {-fit.mounting.x_m, fit.mounting.y_m, std::numbers::pi - fit.mounting.heading_rad};
  return fit;
}

/// What exchanged columns give: the same robot driving backwards and the lidar turned.
RobotFit swapped(RobotFit fit) {
  std::swap(fit.left_m_per_tick, fit.right_m_per_tick);
  fit.left_m_per_tick = -fit.left_m_per_tick;
  fit.right_m_per_tick = -fit.right_m_per_tick;
  fit.mounting = {-fit.mounting.x_m, -fit.mounting.y_m, std::numbers::pi + fit.mounting.heading_rad};
  return fit;
}

TEST(Explanation, ASoundRobotNeedsNone) {
  const Case one = sound();
  EXPECT_TRUE(explanations(one.fit, one.drive, {}).front().is_right_as_stated());
}

TEST(Explanation, AMirroredLidarInTheMiddleCannotBeToldFromExchangedWheels) {
  const Case one = sound();
  const auto all = explanations(mirrored(one.fit), one.drive, {});
  EXPECT_TRUE(all[0].mirrored);
  EXPECT_FALSE(all[0].swapped);
  EXPECT_TRUE(all[1].swapped);
  EXPECT_FALSE(all[1].mirrored);
  EXPECT_EQ(all[0].faults, all[1].faults);
}

TEST(Explanation, AGyroTellsThemApart) {
  const Case one = sound();
  const auto wheels = explanations(mirrored(one.fit), one.drive, true);  // gyro and lidar turn alike
  EXPECT_TRUE(wheels.front().swapped);
  EXPECT_LT(wheels[0].faults, wheels[1].faults);
  const auto lidar = explanations(mirrored(one.fit), one.drive, false);
  EXPECT_TRUE(lidar.front().mirrored);
  EXPECT_LT(lidar[0].faults, lidar[1].faults);
}

TEST(Explanation, ALidarThatLooksAsideTellsThemApart) {
  const Case one = sound({0.08, 0.0, std::numbers::pi / 2.0});
  const auto lidar = explanations(mirrored(one.fit), one.drive, {});
  EXPECT_TRUE(lidar.front().mirrored);
  EXPECT_FALSE(lidar.front().turned);
  EXPECT_LT(lidar[0].faults, lidar[1].faults);
  const auto wheels = explanations(swapped(one.fit), one.drive, {});
  EXPECT_TRUE(wheels.front().swapped);
  EXPECT_FALSE(wheels.front().mirrored);
  EXPECT_LT(wheels[0].faults, wheels[1].faults);
}

TEST(Explanation, OneWheelBackwards) {
  for (const bool left : {true, false}) {
    Case one = sound();
    (left ? one.fit.left_m_per_tick : one.fit.right_m_per_tick) *= -1.0;
    const Explanation best = explanations(one.fit, one.drive, {}).front();
    EXPECT_EQ(best.left_backwards, left);
    EXPECT_EQ(best.right_backwards, !left);
    EXPECT_EQ(best.faults, 1.0);
  }
}

TEST(Explanation, TheFewestFactors) {
  const auto scale_of = [](double left, double right, double width) {
    Case one = sound();
    one.fit.left_m_per_tick *= left;
    one.fit.right_m_per_tick *= right;
    one.fit.track_width_m *= width;
    return explanations(one.fit, one.drive, {}).front();
  };
  EXPECT_EQ(scale_of(1.3, 1.0, 1.0).scale, ScaleFault::left);
  EXPECT_EQ(scale_of(1.0, 0.7, 1.0).scale, ScaleFault::right);
  EXPECT_EQ(scale_of(1.3, 1.3, 1.0).scale, ScaleFault::ticks);
  EXPECT_EQ(scale_of(1.0, 1.0, 0.7).scale, ScaleFault::width);
  EXPECT_EQ(scale_of(1.3, 1.3, 0.7).scale, ScaleFault::ticks_and_width);
  const Explanation ranges = scale_of(1.2, 1.2, 1.2);
  EXPECT_EQ(ranges.scale, ScaleFault::ranges);
  EXPECT_NEAR(ranges.range_factor, 1.0 / 1.2, 1e-9);
  EXPECT_NEAR(scale_of(1.3, 1.0, 1.0).left_m_per_tick, 1.3e-4, 1e-9);
}

TEST(Explanation, TurnedAndDisplaced) {
  Case one = sound();
  one.fit.mounting = {0.25, -0.1, 2.0};
  const Explanation best = explanations(one.fit, one.drive, {}).front();
  EXPECT_TRUE(best.turned);
  EXPECT_TRUE(best.displaced);
  EXPECT_NEAR(best.turned_rad, 2.0, 1e-12);
  EXPECT_EQ(best.faults, 2.0);
}

TEST(Explanation, WhatIsUsualIsNoFault) {
  Case one = sound();
  one.fit.mounting = {0.10, 0.02, 0.05};
  one.fit.track_width_m = 0.32;
  one.fit.left_m_per_tick *= 1.01;
  EXPECT_TRUE(explanations(one.fit, one.drive, {}).front().is_right_as_stated());
}

// Four standard deviations of a normal error on both sides: 0.00006334 (NIST/SEMATECH handbook, 1.3.6.7.1).
TEST(Explanation, TheGateIsThatOfFourStandardDeviations) {
  EXPECT_NEAR(fault_gate(1), 16.0, 0.01);
  EXPECT_NEAR(chi_squared_probability(fault_gate(3), 3), 1.0 - 6.334e-5, 1e-9);
}

}  // namespace
}  // namespace wainscot
