#include "graph/loop_closure.hpp"

#include <cmath>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

constexpr RangeNoise kNoise{0.005, 0.0};

/// A ring corridor, 6 m x 5 m around a block with two recesses, so that no two places look alike.
Scene ring_corridor() {
  Scene scene =
      closed_walls({{0.0, 0.0}, {6.0, 0.0}, {6.0, 5.0}, {3.6, 5.0}, {3.6, 5.4}, {3.0, 5.4}, {3.0, 5.0}, {0.0, 5.0}});
  for (const Segment& wall :
       closed_walls({{1.4, 1.4}, {1.4, 2.0}, {1.7, 2.0}, {1.7, 3.6}, {4.6, 3.6}, {4.6, 1.9}, {4.2, 1.9}, {4.2, 1.4}})) {
    scene.push_back(wall);
  }
  return scene;
}

/// Poses 0.3 m apart along straight legs, turns on the spot in steps of 30 degrees.
std::vector<Pose2> route(const std::vector<Eigen::Vector2d>& corners) {
  std::vector<Pose2> poses;
  for (std::size_t i = 0; i + 1 < corners.size(); ++i) {
    const Eigen::Vector2d leg = corners[i + 1] - corners[i];
    const double heading = std::atan2(leg.y(), leg.x());
    if (!poses.empty()) {
      const double turn = wrap_angle(heading - poses.back().heading_rad);
      const int steps = static_cast<int>(std::ceil(std::abs(turn) / 0.53));
      for (int s = 0; s < steps; ++s) poses.push_back(poses.back() * Pose2{0.0, 0.0, turn / steps});
    } else {
      poses.push_back({corners[0].x(), corners[0].y(), heading});
    }
    const int steps = static_cast<int>(std::ceil(leg.norm() / 0.3));
    for (int s = 0; s < steps; ++s) poses.push_back(poses.back() * Pose2{leg.norm() / steps, 0.0, 0.0});
  }
  return poses;
}

std::vector<Pose2> around(double rounds) {
  std::vector<Eigen::Vector2d> corners;
  for (int i = 0; i <= static_cast<int>(4.0 * rounds); ++i) {
    corners.push_back(
        std::vector<Eigen::Vector2d>{{0.7, 0.7}, {5.3, 0.7}, {5.3, 4.3}, {0.7, 4.3}}[static_cast<std::size_t>(i) % 4]);
  }
  return route(corners);
}

/// What tracking would give with a drift of `per_step` at each step (and an edge information that allows it).
TrackedPath drifted(const Scene& scene, const std::vector<Pose2>& truth, const Tangent2& per_step, double sd_m,
                    double sd_rad) {
  TrackedPath tracked;
  for (std::size_t i = 0; i < truth.size(); ++i) {
    tracked.keyframes.push_back(keyframe_at(scene, truth[i], i));
    if (i == 0) {
      tracked.poses.push_back(truth[0]);
      continue;
    }
    const Pose2 relative = between(truth[i - 1], truth[i]) * exp(per_step);
    tracked.poses.push_back(tracked.poses.back() * relative);
    tracked.edges.push_back({EdgeKind::match, i - 1, i, relative, information_of(sd_m, sd_rad)});
  }
  return tracked;
}

double worst_m(const PoseGraph& graph, const std::vector<Pose2>& truth) {
  double worst = 0.0;
  for (std::size_t i = 0; i < truth.size(); ++i) worst = std::max(worst, apart_m(graph.nodes[i].pose, truth[i]));
  return worst;
}

TEST(LoopClosure, RingDrivenTwiceIsHeldTogether) {
  const std::vector<Pose2> truth = around(1.75);
  const TrackedPath tracked = drifted(ring_corridor(), truth, {0.002, 0.001, 0.0025}, 0.006, 0.006);
  const double drift = apart_m(tracked.poses.back(), truth.back());
  ASSERT_GT(drift, 0.3);
  const ClosedGraph closed = close_loops(tracked, kNoise, {}, 1, {});
  int accepted = 0;
  for (const LoopCandidate& candidate : closed.candidates) {
    EXPECT_LT(candidate.from, candidate.to);
    EXPECT_FALSE(candidate.reason.empty());
    if (candidate.verdict == Verdict::rejected) continue;
    ++accepted;
    const Pose2 relative = between(truth[candidate.from], truth[candidate.to]);
    EXPECT_LT(apart_m(candidate.found, relative), 0.03) << candidate.from << " and " << candidate.to;
    EXPECT_LT(apart_rad(candidate.found, relative), 0.01) << candidate.from << " and " << candidate.to;
  }
  EXPECT_GE(accepted, 8);  // about one a metre of the second round
  EXPECT_EQ(closed.graph.edges.size(), tracked.edges.size() + static_cast<std::size_t>(accepted));
  EXPECT_LT(worst_m(closed.graph, truth), 0.3 * drift);
  EXPECT_LT(apart_m(closed.graph.nodes.back().pose, truth.back()), 0.15 * drift);
  EXPECT_GT(closed.cost_before, 10.0 * closed.cost_after);
}

TEST(LoopClosure, ClosureEdgesCarryTheMatch) {
  const TrackedPath tracked = drifted(ring_corridor(), around(1.5), {0.001, 0.0, 0.001}, 0.005, 0.004);
  const ClosedGraph closed = close_loops(tracked, kNoise, {}, 1, {});
  for (std::size_t e = 0; e < closed.graph.edges.size(); ++e) {
    const Edge& edge = closed.graph.edges[e];
    EXPECT_EQ(edge.kind == EdgeKind::closure, e >= tracked.edges.size());
    if (edge.kind != EdgeKind::closure) continue;
    EXPECT_GT(edge.information(1, 1), 0.0);
    EXPECT_NEAR((edge.information - edge.information.transpose()).norm(), 0.0, 1e-9 * edge.information.norm());
  }
}

TEST(LoopClosure, SameResultAtAnyNumberOfThreads) {
  const TrackedPath tracked = drifted(ring_corridor(), around(1.5), {0.002, 0.001, 0.001}, 0.006, 0.004);
  const ClosedGraph one = close_loops(tracked, kNoise, {}, 1, {});
  const ClosedGraph three = close_loops(tracked, kNoise, {}, 3, {});
  ASSERT_EQ(one.candidates.size(), three.candidates.size());
  for (std::size_t i = 0; i < one.candidates.size(); ++i) {
    EXPECT_EQ(one.candidates[i].found.x_m, three.candidates[i].found.x_m);
    EXPECT_EQ(one.candidates[i].verdict, three.candidates[i].verdict);
  }
  for (std::size_t i = 0; i < one.graph.nodes.size(); ++i) {
    EXPECT_EQ(one.graph.nodes[i].pose.x_m, three.graph.nodes[i].pose.x_m);
    EXPECT_EQ(one.graph.nodes[i].pose.heading_rad, three.graph.nodes[i].pose.heading_rad);
  }
}

TEST(LoopClosure, NothingIsClosedWhereNoPlaceIsSeenAgain) {
  const Scene hall = closed_walls({{0.0, 0.0}, {30.0, 0.0}, {30.0, 2.0}, {0.0, 2.0}});
  const std::vector<Pose2> truth = route({{1.0, 1.0}, {21.0, 1.0}});
  const ClosedGraph closed = close_loops(drifted(hall, truth, {0.001, 0.0, 0.0}, 0.005, 0.002), kNoise, {}, 1, {});
  for (const LoopCandidate& candidate : closed.candidates) EXPECT_EQ(candidate.verdict, Verdict::rejected);
  EXPECT_EQ(closed.graph.edges.size(), truth.size() - 1);
}

TEST(LoopClosure, NoRoundsLeaveTheChain) {
  const TrackedPath tracked = drifted(ring_corridor(), around(1.5), {0.002, 0.001, 0.001}, 0.006, 0.004);
  LoopClosureOptions none;
  none.most_rounds = 0;
  const ClosedGraph closed = close_loops(tracked, kNoise, none, 1, {});
  EXPECT_TRUE(closed.candidates.empty());
  ASSERT_EQ(closed.graph.nodes.size(), tracked.poses.size());
  for (std::size_t i = 0; i < tracked.poses.size(); ++i) {
    EXPECT_EQ(closed.graph.nodes[i].pose.x_m, tracked.poses[i].x_m);
    EXPECT_EQ(closed.graph.nodes[i].scan, tracked.keyframes[i].scan);
  }
}

}  // namespace
}  // namespace wainscot
