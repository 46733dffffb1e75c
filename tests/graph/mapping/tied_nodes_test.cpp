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

}  // namespace
}  // namespace wainscot
