#include "graph/calibrate/run_end.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

constexpr WheelGeometry kGeometry{1e-4, 1e-4, 0.3};
constexpr TapeSd kTape{0.003, 0.01};
const OdometryNoise kNoNoise{0.0, 0.0, 0.0, 0.0};

CalibrationRun run_of(std::int64_t left_ticks, std::int64_t right_ticks) {
  CalibrationRun run;
  run.wheels = {{0.0, 500, -200}, {1.0, 500 + left_ticks, -200 + right_ticks}};
  return run;
}

TEST(RunEnd, OneArcEndsWhereItsRadiusSays) {
  EXPECT_EQ(net_ticks(run_of(30, 70), &WheelCounts::right_ticks), 70.0);
  const Pose2 straight = end_of_run(run_of(20000, 20000).wheels, kGeometry);
  EXPECT_NEAR(straight.x_m, 2.0, 1e-12);
  EXPECT_NEAR(straight.y_m, 0.0, 1e-12);
  // A quarter turn to the left about a point 1 m beside: the wheels roll 0.85 and 1.15 of it.
  const double quarter = 0.5 * std::numbers::pi;
  const Pose2 bend =
      end_of_run(run_of(std::lround(0.85 * quarter / 1e-4), std::lround(1.15 * quarter / 1e-4)).wheels, kGeometry);
  EXPECT_NEAR(bend.x_m, 1.0, 2e-4);
  EXPECT_NEAR(bend.y_m, 1.0, 2e-4);
  EXPECT_NEAR(bend.heading_rad, quarter, 4e-4);
}

TEST(RunEnd, WithoutScatterTheTapeAndTheAlignmentAreLeft) {
  const Eigen::Matrix3d covariance = covariance_of_end(run_of(20000, 20000), kGeometry, kNoNoise, kTape);
  EXPECT_NEAR(covariance(kEndTurn, kEndTurn), 0.01 * 0.01, 1e-12);
  EXPECT_NEAR(covariance(kEndForward, kEndForward), 0.003 * 0.003, 1e-12);
  EXPECT_NEAR(covariance(kEndLeft, kEndLeft), 0.003 * 0.003 + 0.02 * 0.02, 1e-12);  // 2 m by a hundredth of a radian
}

TEST(RunEnd, WhatARunStatesReplacesTheTape) {
  CalibrationRun run = run_of(20000, 20000);
  run.sd_m = 0.001;
  run.sd_rad = 0.002;
  const Eigen::Matrix3d covariance = covariance_of_end(run, kGeometry, kNoNoise, kTape);
  EXPECT_NEAR(covariance(kEndTurn, kEndTurn), 0.002 * 0.002, 1e-12);
  EXPECT_NEAR(covariance(kEndForward, kEndForward), 0.001 * 0.001, 1e-12);
}

TEST(RunEnd, ScatterGrowsWithTheWay) {
  const OdometryNoise noise{0.02, 0.0, 0.0, 0.01};
  const Eigen::Matrix3d two = scatter_of_end(run_of(20000, 20000).wheels, kGeometry, noise);
  const Eigen::Matrix3d four = scatter_of_end(run_of(40000, 40000).wheels, kGeometry, noise);
  EXPECT_NEAR(two(0, 0), 2.0 * 0.02 * 0.02, 1e-9);
  EXPECT_NEAR(two(2, 2), 2.0 * 0.01 * 0.01, 1e-9);
  EXPECT_NEAR(four(0, 0), 2.0 * two(0, 0), 1e-9);
}

TEST(RunEnd, TotalsAreWorthAsMuchAsTheWholePath) {
  const OdometryNoise noise{0.02, 0.01, 0.05, 0.02};
  const CalibrationRun totals = run_of(20000, 24000);
  CalibrationRun path = totals;
  path.whole_path = true;
  path.wheels.clear();
  for (int i = 0; i <= 20; ++i) path.wheels.push_back({0.1 * i, 500 + 1000 * i, -200 + 1200 * i});
  const Eigen::Matrix3d difference =
      covariance_of_end(totals, kGeometry, noise, kTape) - covariance_of_end(path, kGeometry, noise, kTape);
  EXPECT_LT(difference.cwiseAbs().maxCoeff(), 1e-12);
}

}  // namespace
}  // namespace wainscot
