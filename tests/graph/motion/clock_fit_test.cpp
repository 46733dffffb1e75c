#include "graph/motion/clock_fit.hpp"

#include <cmath>
#include <cstddef>

#include <gtest/gtest.h>

#include "tests/graph/made_log.hpp"

namespace wainscot {
namespace {

TEST(ClockFit, FindsAnOffsetOfEitherSign) {
  for (const double late_s : {0.0, 0.043, 1.27, -4.6}) {
    MadeRobot robot;
    robot.lidar_late_s = late_s;
    const MadeLog log = made_log(robot);
    const ClockFit fit = fit_clock(log.steps, WheelSeries(log.drive));
    EXPECT_NEAR(fit.offset_s, -late_s, 0.002);
    EXPECT_NEAR(fit.drift, 0.0, 1e-4);
    EXPECT_GT(fit.explained, 0.99);
  }
}

TEST(ClockFit, FindsADrift) {
  MadeRobot robot;
  robot.lidar_late_s = 0.4;
  robot.lidar_drift = 0.006;
  const MadeLog log = made_log(robot);
  const ClockFit fit = fit_clock(log.steps, WheelSeries(log.drive));
  EXPECT_NEAR(fit.drift, -0.006 / 1.006, 1e-4);
  EXPECT_NEAR(fit.wheel_time_s(30.4), 30.0, 0.003);
}

TEST(ClockFit, DoesNotDriftWhereItMayNot) {
  MadeRobot robot;
  robot.lidar_late_s = 0.4;
  robot.lidar_drift = 0.004;
  const MadeLog log = made_log(robot);
  ClockFitOptions steady;
  steady.most_drift = 0.0;
  const ClockFit fit = fit_clock(log.steps, WheelSeries(log.drive), steady);
  EXPECT_EQ(fit.drift, 0.0);
  EXPECT_NEAR(fit.offset_s, -0.4, 0.05);
}

TEST(ClockFit, TheUsualErrorIsThisDrivesOwn) {
  EXPECT_EQ(usual_size_rad({}), 0.0);
  EXPECT_NEAR(usual_size_rad({-0.1, 0.1, 3.0}), 0.14826, 1e-9);
  EXPECT_NEAR(usual_turn_error_rad({0.001, -0.001, 0.5}), 0.018, 1e-9);
  EXPECT_NEAR(usual_turn_error_rad({0.02, -0.02, 0.5}), 2.385 * 1.4826 * 0.02, 1e-9);
}

TEST(ClockFit, DoesNotAskForSignsOrWhichWheelIsWhich) {
  MadeRobot robot;
  robot.lidar_late_s = 0.3;
  MadeLog log = made_log(robot);
  for (WheelCounts& row : log.drive.wheels) {
    std::swap(row.left_ticks, row.right_ticks);
    row.left_ticks = -row.left_ticks;
  }
  EXPECT_NEAR(fit_clock(log.steps, WheelSeries(log.drive)).offset_s, -0.3, 0.002);
}

TEST(ClockFit, SaysSoWhenWheelsExplainNothing) {
  MadeLog log = made_log({});
  for (std::size_t i = 0; i < log.steps.size(); ++i) {
    log.steps[i].motion.heading_rad = i % 7 < 3 ? 0.2 : -0.15;
  }
  EXPECT_LT(fit_clock(log.steps, WheelSeries(log.drive)).explained, 0.5);
}

/// Wheels read 20 times a second, and two steps of the lidar in each.
ClockFit fit_of_seconds(int seconds, std::size_t& steps) {
  MadeLog log;
  for (int i = 0; i <= 20 * seconds; ++i) {
    const double t = 0.05 * i;
    const auto ticks = std::llround(4000.0 * (std::sin(0.7 * t) + std::sin(0.23 * t)));
    log.drive.wheels.push_back({t, -ticks, ticks});
  }
  const WheelSeries wheels(log.drive);
  for (double t = 0.0; t + 0.5 <= seconds; t += 0.5) {
    LidarStride step;
    step.begin_s = t;
    step.end_s = t + 0.5;
    step.motion.heading_rad = wheels.change(t, t + 0.5).right / 2000.0;
    step.sure = true;
    log.steps.push_back(step);
  }
  steps = log.steps.size();
  return fit_clock(log.steps, wheels);
}

// Of an hour each of 7,200 steps was asked for at 2,041 offsets, in each of which all rows were searched twice, in 17
// looks: 500 million of them, and 11 times those of a quarter of an hour. No fewer offsets will do for the same result:
// each drift takes the windows at the ends to other ones.
TEST(ClockFit, LooksAtEachRowOnceAnOffset) {
  std::size_t steps = 0;
  const ClockFit hour = fit_of_seconds(3600, steps);
  EXPECT_NEAR(hour.offset_s, 0.0, 1e-3);
  EXPECT_EQ(steps, 7200U);
  const std::size_t work = hour.looked_at;
  RecordProperty("looked_at_in_an_hour", static_cast<int>(work));
  EXPECT_LT(work, 7200U * 1322U * 2U * 2U);  // ends of a step, a row in each 0.05 s beside the look itself
  const ClockFit quarter = fit_of_seconds(900, steps);
  EXPECT_LT(work, 7 * quarter.looked_at);
}

TEST(ClockFit, IsEmptyWithoutSureSteps) {
  MadeLog log = made_log({});
  for (LidarStride& step : log.steps) step.sure = false;
  EXPECT_EQ(fit_clock(log.steps, WheelSeries(log.drive)).steps, 0U);
}

}  // namespace
}  // namespace wainscot
