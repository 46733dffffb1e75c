#include "graph/adjust/odometry_factors.hpp"

#include <cmath>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/adjust/still_nodes.hpp"

namespace wainscot {
namespace {

TEST(OdometryFactors, WhereOdometryLeadsThereIsNoResidual) {
  const StillNodes still;
  const std::vector<OdometryFactor> factors = odometry_factors(still.problem(), still.state());
  ASSERT_EQ(factors.size(), still.truth.size() - 1);
  for (const OdometryFactor& f : factors) EXPECT_LT(f.residual.norm(), 1e-9);
  EXPECT_LT(odometry_cost(still.problem(), factors, still.state()), 1e-12);
}

TEST(OdometryFactors, DerivativesAreThoseOfTheResidual) {
  const StillNodes still;
  std::vector<Pose2> poses = still.truth;
  poses[2] = poses[2] * Pose2{0.03, 0.02, -0.02};
  const AdjustmentState state = still.state(poses);
  const OdometryFactor factor = odometry_factors(still.problem(), state)[1];
  constexpr double kStep = 1e-6;
  for (int i = 0; i < 3; ++i) {
    Tangent2 step = Tangent2::Zero();
    step[i] = kStep;
    for (const std::size_t node : {1U, 2U}) {
      AdjustmentState moved = state;
      moved.poses[node] = moved.poses[node] * exp(step);
      const Tangent2 slope = (odometry_factors(still.problem(), moved)[1].residual - factor.residual) / kStep;
      const Eigen::Matrix3d& said = node == 1 ? factor.by_from : factor.by_to;
      EXPECT_LT((slope - said.col(i)).norm(), 1e-5) << node << " " << i;
    }
  }
  // With the turn scale a turn of odometry's grows, and the error falls by as much.
  EXPECT_NEAR(factor.by_constants(2, kTurnScale), -(still.truth[2].heading_rad - still.truth[1].heading_rad), 0.03);
  EXPECT_EQ(factor.by_constants.leftCols<kLidarConstants>().norm(), 0.0);
}

// The right side is minus the derivative of the cost.
TEST(OdometryFactors, TheCostFallsAsTheRightSideSays) {
  const StillNodes still;
  std::vector<Pose2> poses = still.truth;
  poses[2] = poses[2] * Pose2{0.03, 0.02, -0.02};
  const AdjustmentState state = still.state(poses);
  const std::vector<OdometryFactor> factors = odometry_factors(still.problem(), state);
  const UnknownLayout layout{poses.size(), 0, 0};
  NormalSystem system(layout.size());
  add_odometry(factors, layout, system);
  constexpr double kStep = 1e-6;
  for (std::size_t node = 1; node < poses.size(); ++node) {
    for (int i = 0; i < 3; ++i) {
      Tangent2 step = Tangent2::Zero();
      step[i] = kStep;
      AdjustmentState ahead = state;
      AdjustmentState behind = state;
      ahead.poses[node] = ahead.poses[node] * exp(step);
      behind.poses[node] = behind.poses[node] * exp(-step);
      const double slope =
          (odometry_cost(still.problem(), factors, ahead) - odometry_cost(still.problem(), factors, behind)) /
          (2.0 * kStep);
      const double said = -system.right_side()[layout.node(node) + i];
      EXPECT_NEAR(slope, said, 1e-4 * std::max(1.0, std::abs(said))) << node << " " << i;
    }
  }
}

}  // namespace
}  // namespace wainscot
