#include "graph/adjust/wall_equations.hpp"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/adjust/still_nodes.hpp"

namespace wainscot {
namespace {

struct Walls {
  StillNodes still;
  AdjustmentProblem problem = still.problem();
  AdjustmentState state = still.state();
  PairedWalls walls = paired_walls(state.keyframes, state.poses, problem.range_noise);
};

TEST(WallEquations, BlocksAreSumsOverTheReturns) {
  const Walls room;
  const WallEquations equations = wall_equations(room.problem, room.state, room.walls);
  ASSERT_EQ(equations.nodes.size(), room.state.poses.size());
  ASSERT_EQ(equations.pieces.size(), room.walls.pieces.lines().size());
  // The same sum, taken over couplings of a piece and of a node: each return is in one coupling.
  Eigen::Matrix3d by_nodes = Eigen::Matrix3d::Zero();
  for (const NodeBlock& node : equations.nodes) by_nodes += node.pose;
  EXPECT_GT(by_nodes.diagonal().minCoeff(), 0.0);
  for (std::size_t i = 1; i < equations.couplings.size(); ++i) {
    const Coupling& a = equations.couplings[i - 1];
    const Coupling& b = equations.couplings[i];
    EXPECT_LE(a.node, b.node);
    EXPECT_GE(room.walls.pieces.lines()[static_cast<std::size_t>(b.piece)].nodes, 2);
  }
  // Moving the lidar's mounting moves every node's points alike.
  Eigen::Matrix<double, 3, kLidarConstants> by_lidar = Eigen::Matrix<double, 3, kLidarConstants>::Zero();
  for (const NodeBlock& node : equations.nodes) by_lidar += node.pose_lidar;
  EXPECT_LT((by_lidar.topLeftCorner<2, 2>() - by_nodes.topLeftCorner<2, 2>()).norm(), 1e-9 * by_nodes.norm());
  EXPECT_LT((equations.lidar.topLeftCorner<2, 2>() - by_nodes.topLeftCorner<2, 2>()).norm(), 1e-9 * by_nodes.norm());
  EXPECT_LT(equations.residual_rms_m, 0.005) << "pieces at the corners only are not straight";
}

TEST(WallCost, GrowsAsTheNodesLeaveTheTruth) {
  const Walls room;
  const double true_cost = wall_cost(room.problem, room.state.keyframes, room.state, room.walls);
  AdjustmentState moved = room.state;
  moved.poses[2] = moved.poses[2] * Pose2{0.01, 0.0, 0.0};
  const double near = wall_cost(room.problem, room.state.keyframes, moved, room.walls);
  moved.poses[2] = moved.poses[2] * Pose2{0.02, 0.0, 0.01};
  const double far = wall_cost(room.problem, room.state.keyframes, moved, room.walls);
  EXPECT_GT(near, true_cost + 50.0);
  EXPECT_GT(far, near);
}

TEST(WallCost, ARangeThatHasBecomeNegativeIsInfinitelyBad) {
  Walls room;
  AdjustmentState broken = room.state;
  broken.constants.change[kRangeOffset] = -1.5;
  correct_scans(room.problem, broken);
  EXPECT_EQ(wall_cost(room.problem, room.state.keyframes, broken, room.walls), std::numeric_limits<double>::infinity());
}

}  // namespace
}  // namespace wainscot
