#include "graph/known/spread_points.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

TEST(SpreadPoints, EvenlyLeavesEightCentimetresBetweenNeighbours) {
  const std::vector<ScanPoint> all = keyframe_at(crooked_room(), {-1.9, -1.5, 0.3}).points;
  const std::vector<ScanPoint> some = evenly(all);
  ASSERT_GT(some.size(), 50U);
  EXPECT_LT(some.size(), all.size());
  for (std::size_t i = 1; i < some.size(); ++i) {
    EXPECT_GE(std::hypot(some[i].x_m - some[i - 1].x_m, some[i].y_m - some[i - 1].y_m), 0.08F);
  }
  EXPECT_EQ(some.front().angle_rad, all.front().angle_rad);
}

TEST(SpreadPoints, ThinnedKeepsSoManyOfThoseWithNormals) {
  std::vector<ScanPoint> all(100, ScanPoint{});
  for (std::size_t i = 0; i < all.size(); ++i) {
    all[i].x_m = static_cast<float>(i);
    all[i].normal_x = i % 2 == 0 ? 1.0F : 0.0F;
  }
  const std::vector<ScanPoint> some = thinned(all, 20);  // every third of 50
  ASSERT_EQ(some.size(), 17U);
  for (std::size_t i = 0; i < some.size(); ++i) EXPECT_EQ(some[i].x_m, 6.0F * static_cast<float>(i));
  EXPECT_EQ(thinned(all, 1000).size(), 50U);
  EXPECT_TRUE(thinned({}, 20).empty());
}

}  // namespace
}  // namespace wainscot
