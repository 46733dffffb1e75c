#include "graph/calibrate/expected_errors.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/taped_runs.hpp"

namespace wainscot {
namespace {

TEST(ExpectedErrors, AStraightTurnsForEachSurfaceThenLongerDrives) {
  TapedRuns robot;
  robot.add_usual("wood");
  robot.add_usual("carpet");
  const AdjustedRuns runs(robot.runs);
  const auto errors = expected_errors(runs.equations, runs.adjusted);
  ASSERT_EQ(errors.size(), 5U);
  EXPECT_EQ(errors[0].drive, "2 m straight ahead");
  EXPECT_EQ(errors[1].drive, "a turn of 90° on carpet");
  EXPECT_EQ(errors[4].drive, "10 m with four turns of 90° on wood");
}

TEST(ExpectedErrors, AStraightIsAsSureAsTheMeanOfTheWheels) {
  TapedRuns robot;
  robot.add_usual("wood");
  robot.shake(1);
  const AdjustedRuns runs(robot.runs);
  const Eigen::VectorXd& x = runs.adjusted.unknowns();
  const Eigen::Vector3d mean(0.5 / x[0], 0.5 / x[1], 0.0);  // relative
  const double sd = std::sqrt(mean.dot(runs.adjusted.covariance * mean));
  const auto errors = expected_errors(runs.equations, runs.adjusted);
  EXPECT_NEAR(errors[0].along_m, 2.0 * sd, 0.01 * sd);
  // A turn is as sure as the wheels' mean over the width.
  const Eigen::Vector3d turn(0.5 / x[0], 0.5 / x[1], -1.0 / x[2]);
  const double turn_sd = std::sqrt(turn.dot(runs.adjusted.covariance * turn));
  EXPECT_NEAR(errors[1].turn_rad, 0.5 * std::numbers::pi * turn_sd, 0.01 * turn_sd);
}

TEST(ExpectedErrors, ScatterIsAsTheRunsSay) {
  TapedRuns robot;
  robot.add_usual("wood");
  AdjustedRuns runs(robot.runs);
  runs.adjusted.scatter = {1.0, 1.0, 1.0};
  const auto once = expected_errors(runs.equations, runs.adjusted);
  runs.adjusted.scatter = {3.0, 2.0, 1.0};
  const auto more = expected_errors(runs.equations, runs.adjusted);
  EXPECT_NEAR(more[0].scatter_m, 2.0 * once[0].scatter_m, 1e-12);
  EXPECT_NEAR(more[2].scatter_m, once[2].scatter_m, 1e-12);
  EXPECT_NEAR(more[2].scatter_rad, 3.0 * once[2].scatter_rad, 1e-12);
  EXPECT_EQ(more[0].along_m, once[0].along_m);
}

}  // namespace
}  // namespace wainscot
