#include "apps/simulator/geometry.hpp"

#include <gtest/gtest.h>

namespace wainscot::simulator {
namespace {

TEST(Geometry, RectangleRunsCounterClockwiseAndHasItsSize) {
  const Polygon r = rectangle({2.0, 1.0}, 3.0, 0.5, 0.7);
  EXPECT_NEAR(area_m2(r), 1.5, 1e-12);
  EXPECT_NEAR(norm(r[1] - r[0]), 3.0, 1e-12);
  EXPECT_NEAR(angle_of(r[1] - r[0]), 0.7, 1e-12);
  EXPECT_NEAR(centroid(r).x_m, 2.0, 1e-12);
  EXPECT_NEAR(centroid(r).y_m, 1.0, 1e-12);
}

TEST(Geometry, ContainsTellsInsideFromOutsideOfAnL) {
  const Polygon l = {{0, 0}, {3, 0}, {3, 1}, {1, 1}, {1, 3}, {0, 3}};
  EXPECT_TRUE(contains(l, {0.5, 2.5}));
  EXPECT_TRUE(contains(l, {2.5, 0.5}));
  EXPECT_FALSE(contains(l, {2.0, 2.0}));
  EXPECT_FALSE(contains(l, {-0.1, 0.5}));
}

TEST(Geometry, DistanceToASegmentCountsItsEnds) {
  EXPECT_NEAR(distance_m({1.0, 2.0}, {0.0, 0.0}, {4.0, 0.0}), 2.0, 1e-12);
  EXPECT_NEAR(distance_m({7.0, 4.0}, {0.0, 0.0}, {4.0, 0.0}), 5.0, 1e-12);
  EXPECT_NEAR(distance_m({3.0, 4.0}, {0.0, 0.0}, {0.0, 0.0}), 5.0, 1e-12);
}

TEST(Geometry, DistanceOfPolygons) {
  const Polygon a = rectangle({0.0, 0.0}, 2.0, 2.0, 0.0);
  EXPECT_NEAR(distance_m(a, rectangle({3.0, 0.0}, 2.0, 2.0, 0.0)), 1.0, 1e-12);
  EXPECT_EQ(distance_m(a, rectangle({0.0, 0.0}, 0.5, 0.5, 0.3)), 0.0);
  EXPECT_EQ(distance_m(rectangle({0.0, 0.0}, 4.0, 0.2, 0.0), rectangle({0.0, 0.0}, 0.2, 4.0, 0.0)), 0.0);
}

}  // namespace
}  // namespace wainscot::simulator
