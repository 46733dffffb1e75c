#include "graph/motion/robot_fit.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "tests/graph/made_log.hpp"

namespace wainscot {
namespace {

RobotFit fit_of(const MadeLog& log) { return fit_robot(log.steps, WheelSeries(log.drive), ClockFit{}, 0.31); }

TEST(RobotFit, GivesBackExactConstantsAndMounting) {
  MadeRobot robot;
  robot.left_m_per_tick = 1.02e-4;
  robot.right_m_per_tick = 0.97e-4;
  robot.track_width_m = 0.27;
  robot.mounting = {-0.06, 0.11, 2.2};
  const RobotFit fit = fit_of(made_log(robot));
  EXPECT_NEAR(fit.left_m_per_tick / robot.left_m_per_tick, 1.0, 2e-3);
  EXPECT_NEAR(fit.right_m_per_tick / robot.right_m_per_tick, 1.0, 2e-3);
  EXPECT_NEAR(fit.track_width_m, robot.track_width_m, 1e-3);
  EXPECT_NEAR(fit.mounting.x_m, robot.mounting.x_m, 1e-3);
  EXPECT_NEAR(fit.mounting.y_m, robot.mounting.y_m, 1e-3);
  EXPECT_NEAR(wrap_angle(fit.mounting.heading_rad - robot.mounting.heading_rad), 0.0, 1e-3);
}

TEST(RobotFit, SignsFollowTheCounts) {
  MadeLog log = made_log({});
  for (WheelCounts& row : log.drive.wheels) row.left_ticks = -row.left_ticks;
  const RobotFit fit = fit_of(log);
  EXPECT_NEAR(fit.left_m_per_tick, -1e-4, 2e-7);
  EXPECT_NEAR(fit.right_m_per_tick, 1e-4, 2e-7);
  EXPECT_GT(fit.track_width_m, 0.0);
}

TEST(RobotFit, ASlipHasNoSayAndStandsOut) {
  MadeLog log = made_log({});
  for (WheelCounts& row : log.drive.wheels) {
    if (row.time_s > 30.0) row.left_ticks += 4000;  // 0.4 m of spinning
  }
  const RobotFit fit = fit_of(log);
  EXPECT_NEAR(fit.track_width_m, 0.3, 1e-3);
  EXPECT_NEAR(fit.mounting.x_m, 0.08, 1e-3);
  double worst = 0.0;
  double worst_s = 0.0;
  for (const StrideResidual& r : fit.residuals) {
    if (r.chi_squared <= worst) continue;
    worst = r.chi_squared;
    worst_s = log.steps[r.stride].begin_s;
  }
  EXPECT_GT(worst, 50.0);
  EXPECT_NEAR(worst_s, 30.0, 0.21);
}

// The width came out as 0, and its logarithm as no number.
TEST(RobotFit, ARobotThatOnlyTurnsOnTheSpotTellsItsTurnsAndHowFarItsLidarIs) {
  for (const Pose2& mounting : {Pose2{}, Pose2{0.08, 0.0, 0.0}, Pose2{-0.06, 0.08, 2.2}}) {
    MadeRobot robot;
    robot.way_factor = 0.0;
    robot.mounting = mounting;
    const RobotFit fit = fit_of(made_log(robot));
    EXPECT_GT(fit.strides, 100U);
    EXPECT_FALSE(fit.drove);
    EXPECT_DOUBLE_EQ(fit.track_width_m, 0.31);
    EXPECT_NEAR(fit.right_m_per_tick, 1e-4 * 0.31 / 0.3, 2e-7);
    EXPECT_NEAR(fit.left_m_per_tick, 1e-4 * 0.31 / 0.3, 2e-7);
    EXPECT_NEAR(fit.mounting.translation().norm(), mounting.translation().norm(), 1e-3);
    EXPECT_TRUE(fit.scale_covariance.allFinite());
    EXPECT_TRUE(fit.mounting_covariance.allFinite());
  }
  EXPECT_TRUE(fit_of(made_log({})).drove);
}

TEST(RobotFit, IsEmptyForTooFewStrides) {
  MadeLog log = made_log({});
  log.steps.resize(5);
  EXPECT_EQ(fit_of(log).strides, 0U);
}

}  // namespace
}  // namespace wainscot
