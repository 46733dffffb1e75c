#include "graph/close/proposal.hpp"

#include <utility>
#include <vector>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/close/looped_drive.hpp"
#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

/// Through the room and back beside the way there.
struct ThereAndBack {
  std::vector<Pose2> poses;
  std::vector<Keyframe> keyframes;
  std::vector<double> ways;

  ThereAndBack() {
    for (int i = 0; i < 6; ++i) poses.push_back({-1.5 + 0.5 * i, -0.6, 0.1 * i});
    for (int i = 5; i >= 0; --i) poses.push_back({-1.5 + 0.5 * i, -0.3, 3.0 + 0.05 * i});
    for (std::size_t i = 0; i < poses.size(); ++i) keyframes.push_back(keyframe_at(crooked_room(), poses[i], i));
    ways = ways_of(poses);
  }
  SeenPath path() const { return {keyframes, poses, ways, kNoise}; }
};

// The covariance of `from` seen from `to` becomes that of `to` seen from `from`: an error of its heading moves the
// other.
TEST(Proposal, CovarianceIsThatOfTheLaterNode) {
  std::vector<Node> nodes(2);
  nodes[1].pose = {2.0, 0.0, 0.0};
  std::vector<Eigen::Matrix3d> covariances(2, covariance_of(0.01, 0.1));
  const Proposal proposal = proposed(nodes, covariances, 0, 1);
  EXPECT_EQ(proposal.from, 0U);
  EXPECT_EQ(proposal.to, 1U);
  EXPECT_FALSE(proposal.anywhere);
  EXPECT_DOUBLE_EQ(proposal.predicted.x_m, 2.0);
  EXPECT_NEAR(proposal.covariance(0, 0), 0.0001, 1e-12);
  EXPECT_NEAR(proposal.covariance(1, 1), 0.0001 + 4.0 * 0.01, 1e-12);
  EXPECT_NEAR(proposal.covariance(2, 2), 0.01, 1e-12);
}

TEST(Proposal, AllAreVerifiedInTheirOrderAtAnyNumberOfThreads) {
  const ThereAndBack room;
  std::vector<Proposal> proposals;
  for (const auto& [from, to] : {std::pair{4U, 7U}, {1U, 10U}, {2U, 9U}}) {
    const Pose2 predicted = between(room.poses[from], room.poses[to]) * Pose2{0.05, -0.04, 0.02};
    proposals.push_back({from, to, predicted, covariance_of(0.1, 0.05), false});
  }
  proposals.push_back({0, 11, Pose2{5.0, 5.0, 0.0}, covariance_of(10.0, 3.0), true});
  const std::vector<Verified> one = verify_all(proposals, room.path(), 1);
  const std::vector<Verified> three = verify_all(proposals, room.path(), 3);
  ASSERT_EQ(one.size(), proposals.size());
  for (std::size_t i = 0; i < one.size(); ++i) {
    const LoopCandidate& c = one[i].candidate;
    EXPECT_EQ(c.from, proposals[i].from);
    EXPECT_EQ(c.to, proposals[i].to);
    EXPECT_EQ(one[i].fit, Fit::fits) << i << ": " << c.reason;
    EXPECT_LT(apart_m(c.found, between(room.poses[c.from], room.poses[c.to])), 0.005) << i;
    EXPECT_EQ(c.found.x_m, three[i].candidate.found.x_m);
    EXPECT_EQ(c.overlap, three[i].candidate.overlap);
  }
}

TEST(Proposal, NoneGiveNone) { EXPECT_TRUE(verify_all({}, ThereAndBack().path(), 2).empty()); }

}  // namespace
}  // namespace wainscot
