#include "graph/adjust/resection.hpp"

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "graph/adjust/paired_walls.hpp"
#include "tests/graph/adjust/still_nodes.hpp"

namespace wainscot {
namespace {

TEST(Resection, TheOthersAreMatchedAgainstTheWalls) {
  const StillNodes still;
  const AdjustmentState truth = still.state();
  JointResult adjusted;
  adjusted.middle_s = 2.0;
  adjusted.constant_covariance = ConstantMatrix::Zero();
  adjusted.pieces = paired_walls(truth.keyframes, truth.poses, still.problem().range_noise).pieces;
  NodesBefore nodes{still.keyframes(), still.truth, {0, 2, 4}};
  for (const std::size_t i : nodes.adjusted) {
    adjusted.keyframes.push_back(truth.keyframes[i]);
    adjusted.poses.push_back(truth.poses[i]);
    adjusted.covariances.push_back(static_cast<double>(i) * 1e-6 * Eigen::Matrix3d::Identity());
  }
  // Before the adjustment the graph was bent.
  for (const std::size_t i : {1U, 3U}) nodes.poses[i] = nodes.poses[i] * Pose2{0.04, -0.03, 0.02};
  const JointResult all = with_resected(still.drive, still.steps, nodes, adjusted, 1);
  ASSERT_EQ(all.poses.size(), still.truth.size());
  ASSERT_EQ(all.keyframes.size(), still.truth.size());
  for (std::size_t i = 0; i < all.poses.size(); ++i) {
    EXPECT_LT(apart_m(all.poses[i], still.truth[i]), 0.002) << i;
    EXPECT_EQ(all.keyframes[i].scan, i);
    EXPECT_FALSE(all.keyframes[i].points.empty());
  }
  EXPECT_EQ(all.covariances[2], adjusted.covariances[1]);
  EXPECT_GT(all.covariances[3](0, 0), 2e-6) << "no surer than its neighbour";
}

TEST(Resection, WhereAllTookPartNothingIsDone) {
  const StillNodes still;
  JointResult adjusted;
  adjusted.poses = still.truth;
  const JointResult all =
      with_resected(still.drive, still.steps, {still.keyframes(), still.truth, {0, 1, 2, 3, 4}}, adjusted, 1);
  EXPECT_EQ(all.poses.size(), still.truth.size());
  EXPECT_TRUE(all.keyframes.empty());
}

}  // namespace
}  // namespace wainscot
