#include "graph/mapping/tied_nodes.hpp"

#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

using Nodes = std::vector<std::size_t>;

/// A path of eight nodes; odometry alone leads to 3 and to 5.
PoseGraph broken_path() {
  PoseGraph graph;
  graph.nodes.resize(8);
  for (std::size_t i = 1; i < graph.nodes.size(); ++i) {
    graph.edges.push_back({i == 3 || i == 5 ? EdgeKind::odometry : EdgeKind::match, i - 1, i, {}, {}});
  }
  return graph;
}

TEST(TiedNodes, MatchesTieAndOdometryDoesNot) {
  const Nodes first = first_tied_nodes(broken_path(), {});
  EXPECT_EQ(first, (Nodes{0, 0, 0, 3, 3, 5, 5, 5}));
  EXPECT_EQ(unjoined_nodes(first), (Nodes{3, 4, 5, 6, 7})) << "of two sets as large the first is the largest";
}

TEST(TiedNodes, AClosureAndAMarkerTie) {
  PoseGraph graph = broken_path();
  graph.edges.push_back({EdgeKind::closure, 4, 6, {}, {}});
  EXPECT_EQ(first_tied_nodes(graph, {}), (Nodes{0, 0, 0, 3, 3, 3, 3, 3}));
  EXPECT_EQ(unjoined_nodes(first_tied_nodes(graph, {})), (Nodes{0, 1, 2}));
  NodeSighting early;
  early.node = 1;
  early.marker = 2;
  NodeSighting late = early;
  late.node = 7;
  NodeSighting other = early;
  other.node = 4;
  other.marker = 0;
  EXPECT_EQ(first_tied_nodes(broken_path(), {early, late, other}), (Nodes{0, 0, 0, 3, 3, 0, 0, 0}));
  EXPECT_TRUE(unjoined_nodes(first_tied_nodes(graph, {early, late})).empty());
}

// The robot was turned by a radian before node 1, by hardly anything before 2, and slid by 0.3 m before 4; odometry
// alone leads to 3 and to 5.
TEST(TiedNodes, AJumpThatNoLoopSpansIsUnconfirmed) {
  Map map;
  map.graph = broken_path();
  for (std::size_t i = 0; i < map.graph.nodes.size(); ++i) {
    map.graph.nodes[i].time_s = static_cast<double>(i);
    map.graph.nodes[i].pose = {i >= 4 ? 0.3 : 0.0, 0.0, i >= 2 ? 1.01 : i == 1 ? 1.0 : 0.0};
  }
  OdometryStep rest;
  rest.end_s = 8.0;
  const OdometryPath stands({rest}, {});
  EXPECT_EQ(unconfirmed_jumps({1, 2, 4, 5}, stands, map), (Nodes{1, 4}));
  LoopCandidate loop;
  loop.from = 0;
  loop.to = 1;
  map.candidates = {loop};
  EXPECT_EQ(unconfirmed_jumps({1, 2, 4, 5}, stands, map), (Nodes{1, 4})) << "a loop that was not accepted";
  map.candidates.front().verdict = Verdict::accepted;
  EXPECT_EQ(unconfirmed_jumps({1, 2, 4, 5}, stands, map), (Nodes{4}));
}

}  // namespace
}  // namespace wainscot
