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

// A turn on the spot and a straight: the wheels lost no way to turning, whatever they counted on the spot. On an arc
// whose radius is half the track width, half of the rolling is turning.
TEST(OdometryFactors, OnlyWayThatWentInTurnsIsSlip) {
  StillNodes still;
  constexpr double kHalfWidth_m = 0.15;  // of a robot that states no track width
  const auto step = [&still](double begin_s, const Tangent2& motion) {
    OdometryStep one;
    one.begin_s = begin_s;
    one.end_s = begin_s + 0.5;
    one.motion = motion;
    const double turning = kHalfWidth_m * std::abs(motion.z());
    one.turn_share = turning / (turning + motion.head<2>().norm());
    still.steps.push_back(one);
  };
  still.steps.clear();
  step(0.0, Tangent2(0.0, 0.0, 0.8));
  step(0.5, Tangent2(0.3, 0.0, 0.0));
  for (const double begin_s : {1.0, 1.5}) step(begin_s, Tangent2(0.06, 0.0, 0.4));
  still.truth.resize(3);
  for (std::size_t k = 1; k < still.truth.size(); ++k) {
    still.truth[k] = still.truth[k - 1] * exp(still.steps[2 * k - 2].motion) * exp(still.steps[2 * k - 1].motion);
  }
  const std::vector<OdometryFactor> factors = odometry_factors(still.problem(), still.state());
  EXPECT_LT(factors[0].by_constants.col(kSlipInTurns).norm(), 1e-9);
  EXPECT_GT(factors[1].by_constants.col(kDistanceScale).norm(), 0.1);
  EXPECT_LT((factors[1].by_constants.col(kSlipInTurns) - 0.5 * factors[1].by_constants.col(kDistanceScale)).norm(),
            1e-6);
}

// A scale is held against the turn that truly was, since the measure's own noise would pull it the same way in every
// stretch; of a scale that the measure has no part in, nothing is left.
TEST(OdometryFactors, WhoToldTheTurnHasItsScale) {
  StillNodes still;
  std::vector<Pose2> poses = still.truth;
  poses[2] = poses[2] * Pose2{0.0, 0.0, -0.02};
  const double turn = poses[2].heading_rad - poses[1].heading_rad;
  for (const double share : {0.0, 0.25, 1.0}) {
    for (OdometryStep& step : still.steps) {
      step.gyro_turn_rad = step.motion.z();
      step.gyro_share = share;
    }
    const OdometryFactor factor = odometry_factors(still.problem(), still.state(poses))[1];
    EXPECT_NEAR(factor.by_constants(2, kTurnScale), -(1.0 - share) * turn, 1e-4) << share;
    EXPECT_NEAR(factor.by_constants(2, kGyroScale), -share * turn, 1e-4) << share;
  }
}

TEST(OdometryFactors, ASlipThatMayHideIsAddedToTheNoise) {
  StillNodes still;
  AdjustmentState state = still.state();
  state.odometry_noise_ratio = {0.5, 0.5, 0.5};
  const std::vector<OdometryFactor> factors = odometry_factors(still.problem(), state);
  still.steps[2].slip_variance = {0.25, 0.25, 0.01};
  const std::vector<OdometryFactor> slipping = odometry_factors(still.problem(), state);
  const double begin_s = still.steps[2].begin_s;
  for (std::size_t i = 0; i < factors.size(); ++i) {
    const bool holds_it = state.keyframes[i].time_s <= begin_s && begin_s < state.keyframes[i + 1].time_s;
    EXPECT_EQ(slipping[i].may_slip, holds_it) << i;
    const Eigen::Vector3d added = slipping[i].covariance.diagonal() - factors[i].covariance.diagonal();
    EXPECT_NEAR(added[2], holds_it ? 0.01 : 0.0, 1e-9) << "not shrunk with the noise, " << i;
    EXPECT_GE(added[0], holds_it ? 0.249 : 0.0) << i;
  }
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
