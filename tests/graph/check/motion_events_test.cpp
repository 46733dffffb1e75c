#include "graph/check/motion_events.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "graph/motion/robot_fit.hpp"
#include "tests/graph/made_log.hpp"

namespace wainscot {
namespace {

/// Five steps each: strides of a second.
std::vector<LidarStride> strides_of(const LidarMotion& motion) {
  constexpr std::size_t kSteps = 5;
  std::vector<LidarStride> strides;
  for (std::size_t i = 0; i + kSteps <= motion.steps.size(); i += kSteps) {
    LidarStride stride = motion.steps[i];
    stride.to = i + kSteps;
    stride.end_s = motion.steps[i + kSteps - 1].end_s;
    stride.motion = along_steps(motion, i, i + kSteps);
    strides.push_back(stride);
  }
  return strides;
}

std::vector<Finding> events_of(const MadeLog& log, const std::vector<ClockFit>& other_clocks = {}) {
  const WheelSeries wheels(log.drive);
  LidarMotion motion;
  motion.steps = log.steps;
  const std::vector<LidarStride> strides = strides_of(motion);
  const RobotFit fit = fit_robot(strides, wheels, ClockFit{}, 0.3);
  std::vector<RobotFit> by_other_clocks;
  for (const ClockFit& other : other_clocks) by_other_clocks.push_back(fit_robot(strides, wheels, other, 0.3));
  return motion_events(motion, strides, fit, by_other_clocks, wheels, ClockFit{},
                       OdometryPath(odometry_steps(log.drive), {}), nullptr);
}

/// Keeps the counts between two times as they were at the first one.
void hold_wheels(MadeLog& log, double from_s, double to_s) {
  WheelCounts held;
  for (WheelCounts& row : log.drive.wheels) {
    if (row.time_s <= from_s) held = row;
    if (row.time_s > from_s && row.time_s < to_s) row = {row.time_s, held.left_ticks, held.right_ticks};
  }
}

TEST(MotionEvents, ASoundDriveHasNone) { EXPECT_TRUE(events_of(made_log({})).empty()); }

TEST(MotionEvents, AStuckRobot) {
  MadeLog log = made_log({});
  for (LidarStride& step : log.steps) {
    if (step.begin_s > 29.9 && step.begin_s < 32.9) step.motion = Pose2{};
  }
  const auto events = events_of(log);
  ASSERT_EQ(events.size(), 1U);
  EXPECT_EQ(events[0].fault, Fault::stuck);
  EXPECT_NEAR(*events[0].time_s, 30.0, 0.1);
  EXPECT_TRUE(events[0].place.has_value());
}

TEST(MotionEvents, ASlip) {
  MadeLog log = made_log({});
  for (WheelCounts& row : log.drive.wheels) {
    if (row.time_s > 40.0) row.right_ticks += 2500;
  }
  const auto events = events_of(log);
  ASSERT_EQ(events.size(), 1U);
  EXPECT_EQ(events[0].fault, Fault::slip);
  EXPECT_NEAR(*events[0].time_s, 40.0, 1.01);
}

/// A jerk just before one stride ends, which the lidar's late times put into the next one.
TEST(MotionEvents, WhatAnotherClockExplainsIsNoSlip) {
  constexpr double kLateS = 0.1;
  MadeLog log = made_log({});
  for (WheelCounts& row : log.drive.wheels) {
    const double jerk = std::clamp((row.time_s - 29.93) / 0.04, 0.0, 1.0);
    row.right_ticks += std::lround(600.0 * jerk);  // 6 cm: 3 cm ahead and 0.2 rad
  }
  for (LidarStride& step : log.steps) {
    if (std::abs(step.begin_s - 30.0) < 0.05) step.motion = step.motion * Pose2{0.03, 0.0, 0.2};
  }
  ClockFit late;
  late.offset_s = -kLateS;
  EXPECT_FALSE(events_of(log).empty());
  EXPECT_EQ(events_of(log, {ClockFit{}}).size(), events_of(log).size());
  EXPECT_TRUE(events_of(log, {late}).empty());
}

TEST(MotionEvents, ALiftTakesLongerThanASlide) {
  MadeLog lift = made_log({});
  hold_wheels(lift, 20.0, 24.0);
  const auto lifted = events_of(lift);
  ASSERT_EQ(lifted.size(), 1U);
  EXPECT_EQ(lifted[0].fault, Fault::lifted);
  EXPECT_NEAR(*lifted[0].time_s, 20.1, 0.3);

  MadeLog slide = made_log({});
  hold_wheels(slide, 20.0, 21.0);
  const auto slid = events_of(slide);
  ASSERT_EQ(slid.size(), 1U);
  EXPECT_EQ(slid[0].fault, Fault::slip);
}

}  // namespace
}  // namespace wainscot
