#include "graph/close/bent_graph.hpp"

#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/close/looped_drive.hpp"

namespace wainscot {
namespace {

TEST(BentGraph, BeginsAsTheChain) {
  const LoopedDrive drive(1);
  const PoseGraph graph = graph_of(drive.tracked);
  ASSERT_EQ(graph.nodes.size(), drive.tracked.poses.size());
  EXPECT_EQ(graph.edges.size(), drive.tracked.edges.size());
  EXPECT_EQ(graph.nodes[7].scan, drive.tracked.keyframes[7].scan);
  EXPECT_EQ(graph.nodes[7].time_s, drive.tracked.keyframes[7].time_s);
  EXPECT_EQ(graph.nodes[7].pose.x_m, drive.tracked.poses[7].x_m);
}

TEST(BentGraph, ClosuresPullTheDriftOut) {
  const LoopedDrive drive(2, {0.002, 0.001, 0.002});
  const double drift_m = apart_m(drive.tracked.poses.back(), drive.truth.back());
  ASSERT_GT(drift_m, 0.1);
  std::vector<Verified> closures;
  for (std::size_t i = 2; i < drive.tour; i += 5) closures.push_back(drive.closure(i, drive.tour + i));
  const BentGraph result = bent(graph_of(drive.tracked), drive.tracked.poses, drive.tracked.edges, closures, false);
  ASSERT_EQ(result.graph.edges.size(), drive.tracked.edges.size() + closures.size());
  EXPECT_EQ(result.graph.edges.back().kind, EdgeKind::closure);
  EXPECT_EQ(result.graph.edges.back().to, closures.back().candidate.to);
  EXPECT_LT(result.summary.cost_by_iteration.back(), 0.1 * result.summary.cost_by_iteration.front());
  const Pose2 closed = between(result.graph.nodes[7].pose, result.graph.nodes[drive.tour + 7].pose);
  EXPECT_LT(apart_m(closed, drive.relative(7, drive.tour + 7)), 0.02);
  for (const Verified& c : closures) EXPECT_TRUE(is_reached(c, result.graph));
  // The closures of the round before do not stay.
  const BentGraph again = bent(result.graph, drive.tracked.poses, drive.tracked.edges, {}, false);
  EXPECT_EQ(again.graph.edges.size(), drive.tracked.edges.size());
}

TEST(BentGraph, AFarBendIsReachedFromTheTree) {
  LoopedDrive drive(2);
  drive.lift(drive.tour, {11.0, -6.0, 2.1});
  const std::vector<Verified> closures{drive.closure(3, drive.tour + 3), drive.closure(20, drive.tour + 20)};
  const BentGraph result = bent(graph_of(drive.tracked), drive.tracked.poses, drive.tracked.edges, closures, true);
  EXPECT_LT(apart_m(result.graph.nodes.back().pose, drive.truth.back()), 0.05);
  for (const Verified& c : closures) EXPECT_TRUE(is_reached(c, result.graph));
}

TEST(BentGraph, AClosureThatTheOthersContradictIsNotReached) {
  const LoopedDrive drive(2);
  std::vector<Verified> closures;
  for (std::size_t i = 2; i < drive.tour; i += 5) closures.push_back(drive.closure(i, drive.tour + i));
  closures.push_back(drive.closure(20, drive.tour + 20, {0.4, 0.0, 0.2}));
  const BentGraph result = bent(graph_of(drive.tracked), drive.tracked.poses, drive.tracked.edges, closures, false);
  for (std::size_t i = 0; i + 1 < closures.size(); ++i) EXPECT_TRUE(is_reached(closures[i], result.graph)) << i;
  EXPECT_FALSE(is_reached(closures.back(), result.graph));
}

}  // namespace
}  // namespace wainscot
