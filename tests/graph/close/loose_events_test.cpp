#include "graph/close/loose_events.hpp"

#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "graph/drift.hpp"
#include "tests/graph/close/looped_drive.hpp"

namespace wainscot {
namespace {

using Nodes = std::vector<std::size_t>;

TEST(LooseEvents, AreJumpsThatAMatchLeadsOver) {
  LoopedDrive drive(1);
  drive.tracked.jumps = {4, 9, 20};
  drive.tracked.breaks = {9};
  drive.tracked.edges[8].kind = EdgeKind::odometry;
  drive.tracked.edges[14].kind = EdgeKind::odometry;
  EXPECT_EQ(matched_events(drive.tracked), (Nodes{4, 20}));
  EXPECT_EQ(unconfirmed_steps(drive.tracked), (Nodes{15}));
  const std::vector<Edge> loose = with_loose_steps(drive.tracked.edges, {4, 15, 20});
  ASSERT_EQ(loose.size(), drive.tracked.edges.size());
  for (std::size_t i = 0; i < loose.size(); ++i) {
    const Edge& was = drive.tracked.edges[i];
    EXPECT_EQ(loose[i].relative.x_m, was.relative.x_m);
    if (i == 3 || i == 14 || i == 19) continue;
    EXPECT_EQ(loose[i].information(0, 0), was.information(0, 0)) << i;
  }
  // Evenly spread over 1 m and 1.4 rad to both sides.
  EXPECT_NEAR(position_sd_m(edge_covariance(loose[3])), 1.0 / std::sqrt(3.0), 1e-3);
  EXPECT_NEAR(std::sqrt(edge_covariance(loose[3])(2, 2)), 1.4 / std::sqrt(3.0), 0.03);
}

}  // namespace
}  // namespace wainscot
