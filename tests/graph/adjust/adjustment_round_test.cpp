#include "graph/adjust/adjustment_round.hpp"

#include <limits>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/adjust/still_nodes.hpp"

namespace wainscot {
namespace {

std::vector<Pose2> disturbed(const StillNodes& still) {
  std::vector<Pose2> poses = still.truth;
  for (std::size_t k = 1; k < poses.size(); ++k) {
    poses[k] = poses[k] * Pose2{k % 2 == 0 ? 0.008 : -0.006, 0.005, k % 2 == 0 ? -0.004 : 0.003};
  }
  return poses;
}

TEST(AdjustmentRound, BringsTheNodesBackToTheTruth) {
  const StillNodes still;
  const AdjustmentProblem problem = still.problem();
  AdjustmentState state = still.state(disturbed(still));
  for (int i = 0; i < 3; ++i) {
    AdjustmentRound round = adjustment_round(problem, std::move(state));
    ASSERT_EQ(round.step.end, StepEnd::taken);
    EXPECT_EQ(round.step.damping, 0.0);
    EXPECT_LT(round.step.cost_after, (i == 0 ? 0.5 : 1.1) * round.step.cost_before);
    state = std::move(round.moved);
  }
  for (std::size_t k = 0; k < still.truth.size(); ++k) {
    EXPECT_LT(apart_m(state.poses[k], still.truth[k]), 0.001) << k;
    EXPECT_LT(apart_rad(state.poses[k], still.truth[k]), 0.001) << k;
  }
}

TEST(AdjustmentRound, WhatCannotBeSolvedMovesNothing) {
  const StillNodes still;
  AdjustmentProblem problem = still.problem();
  problem.odometry_noise.sd_along_m_per_sqrt_m = std::numeric_limits<double>::quiet_NaN();
  const std::vector<Pose2> before = disturbed(still);
  AdjustmentRound round = adjustment_round(problem, still.state(before));
  EXPECT_EQ(round.step.end, StepEnd::unsolvable);
  for (std::size_t k = 0; k < before.size(); ++k) {
    EXPECT_EQ(apart_m(round.moved.poses[k], before[k]), 0.0);
    EXPECT_EQ(apart_rad(round.moved.poses[k], before[k]), 0.0);
  }
  EXPECT_EQ(round.moved.constants.change.norm(), 0.0);
  for (const Line& line : round.walls.pieces.lines()) {
    EXPECT_EQ(line.range_bias_m, 0.0);
    EXPECT_TRUE(line.fitted_normal.allFinite());
  }
}

}  // namespace
}  // namespace wainscot
