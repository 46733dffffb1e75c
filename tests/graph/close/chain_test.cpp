#include "graph/close/chain.hpp"

#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

/// Four nodes half a metre apart along x; only what a chain needs of them.
TrackedPath straight() {
  TrackedPath tracked;
  for (std::size_t i = 0; i < 4; ++i) {
    Keyframe keyframe;
    keyframe.scan = 10 * i;
    tracked.keyframes.push_back(keyframe);
    tracked.poses.push_back({0.5 * static_cast<double>(i), 0.0, 0.0});
    if (i > 0) tracked.edges.push_back({EdgeKind::match, i - 1, i, {0.5, 0.0, 0.0}, information_of(0.01, 0.005)});
  }
  return tracked;
}

TEST(Chain, WaysAreThoseDriven) {
  const TrackedPath tracked = straight();
  const Chain chain = chain_of(tracked, {0.005, 0.001});
  ASSERT_EQ(chain.ways_m.size(), 4U);
  for (std::size_t i = 0; i < 4; ++i) EXPECT_DOUBLE_EQ(chain.ways_m[i], 0.5 * static_cast<double>(i));
  EXPECT_EQ(chain.seen().noise.per_m, 0.001);
  EXPECT_EQ(&chain.seen().keyframes, &tracked.keyframes);
  EXPECT_EQ(&chain.seen().ways_m, &chain.ways_m);
}

TEST(Chain, NoPlaceReachesOverALooseEdge) {
  TrackedPath tracked = straight();
  tracked.edges[1].information = information_of(0.16, 0.005);
  const Chain chain = chain_of(tracked, {});
  EXPECT_DOUBLE_EQ(chain.ways_m[1], 0.5);
  EXPECT_DOUBLE_EQ(chain.ways_m[2], 1000.5);
  EXPECT_DOUBLE_EQ(chain.ways_m[3], 1001.0);
  tracked.edges[1].information = information_of(0.14, 0.005);
  EXPECT_DOUBLE_EQ(chain_of(tracked, {}).ways_m[2], 1.0);
}

TEST(Chain, DriftGrowsAlongIt) {
  const TrackedPath tracked = straight();
  const Chain chain = chain_of(tracked, {});
  EXPECT_LT(position_sd_m(chain.drift.between_nodes(0, 1)), position_sd_m(chain.drift.between_nodes(0, 3)));
}

TEST(Chain, NodesBelongToThePartsOfTheirScans) {
  const TrackedPath tracked = straight();
  EXPECT_EQ(chain_of(tracked, {}).parts, (std::vector<std::size_t>{0, 0, 0, 0}));
  std::vector<DrivePart> parts(2);
  parts[1].first_scan = 15;
  EXPECT_EQ(chain_of(tracked, {}, parts).parts, (std::vector<std::size_t>{0, 0, 1, 1}));
}

}  // namespace
}  // namespace wainscot
