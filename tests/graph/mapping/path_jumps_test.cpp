#include "graph/mapping/path_jumps.hpp"

#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

// Eight nodes; odometry alone leads to 5. The robot was turned by a radian before node 1, by hardly anything before 2,
// and slid by 0.3 m before 4.
TEST(PathJumps, OneThatNoLoopSpansIsUnconfirmed) {
  Map map;
  map.graph.nodes.resize(8);
  for (std::size_t i = 1; i < 8; ++i) {
    map.graph.edges.push_back({i == 5 ? EdgeKind::odometry : EdgeKind::match, i - 1, i, {}, {}});
  }
  for (std::size_t i = 0; i < map.graph.nodes.size(); ++i) {
    map.graph.nodes[i].time_s = static_cast<double>(i);
    map.graph.nodes[i].pose = {i >= 4 ? 0.3 : 0.0, 0.0, i >= 2 ? 1.01 : i == 1 ? 1.0 : 0.0};
  }
  OdometryStep rest;
  rest.end_s = 8.0;
  const OdometryPath stands({rest}, {});
  EXPECT_EQ(unconfirmed_jumps({1, 2, 4, 5}, stands, map), (std::vector<std::size_t>{1, 4}));
  LoopCandidate loop;
  loop.from = 0;
  loop.to = 1;
  map.candidates = {loop};
  EXPECT_EQ(unconfirmed_jumps({1, 2, 4, 5}, stands, map), (std::vector<std::size_t>{1, 4}))
      << "a loop that was not accepted";
  map.candidates.front().verdict = Verdict::accepted;
  EXPECT_EQ(unconfirmed_jumps({1, 2, 4, 5}, stands, map), (std::vector<std::size_t>{4}));
}

}  // namespace
}  // namespace wainscot
