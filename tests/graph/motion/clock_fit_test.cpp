#include "graph/motion/clock_fit.hpp"

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

TEST(ClockFit, IsEmptyWithoutSureSteps) {
  MadeLog log = made_log({});
  for (LidarStride& step : log.steps) step.sure = false;
  EXPECT_EQ(fit_clock(log.steps, WheelSeries(log.drive)).steps, 0U);
}

}  // namespace
}  // namespace wainscot
