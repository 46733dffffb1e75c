#include "graph/track/local_map.hpp"

#include <gtest/gtest.h>

#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

/// A map that a robot adds to each `step_m`, seven metres and six nodes long.
LocalMap driven_map(int nodes, double step_m) {
  LocalMap map(7.0, 6, {0.005, 0.0});
  for (int i = 0; i < nodes; ++i) map.add(keyframe_at(crooked_room(), {}).points, {}, step_m * i);
  return map;
}

TEST(LocalMap, HoldsTheLastMetresOfTheWay) {
  const LocalMap map = driven_map(20, 1.0);
  EXPECT_EQ(map.oldest_node(19.0), 12);
  EXPECT_EQ(map.oldest_node(25.0), 14) << "six nodes are kept";
}

TEST(LocalMap, HoldsSixNodesHoweverFarApart) {
  EXPECT_EQ(driven_map(20, 5.0).oldest_node(95.0), 14);
  EXPECT_EQ(driven_map(5, 5.0).oldest_node(20.0), 0);
}

TEST(LocalMap, BeginsAnewWithNothing) {
  LocalMap map = driven_map(10, 0.3);
  map.begin_anew();
  EXPECT_EQ(map.oldest_node(3.0), 10);
  map.add(keyframe_at(crooked_room(), {}).points, {}, 3.0);
  EXPECT_EQ(map.oldest_node(3.0), 10);
}

TEST(LocalMap, DoesNotGrowWithTheWay) {
  const std::size_t after_ten = driven_map(10, 7.0).lines().lines().size();
  EXPECT_LE(driven_map(60, 7.0).lines().lines().size(), 3 * after_ten + 200);
}

}  // namespace
}  // namespace wainscot
