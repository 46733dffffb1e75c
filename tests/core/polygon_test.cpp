#include "core/polygon.hpp"

#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

using Corners = std::vector<Eigen::Vector2d>;

const Corners kL = {{0, 0}, {4, 0}, {4, 1}, {1, 1}, {1, 3}, {0, 3}};  // an L: 4 + 2

TEST(Polygon, TheAreaIsPositiveCounterClockwise) {
  EXPECT_DOUBLE_EQ(signed_area(kL), 6.0);
  EXPECT_DOUBLE_EQ(signed_area(Corners(kL.rbegin(), kL.rend())), -6.0);
  Corners far = kL;
  for (Eigen::Vector2d& corner : far) corner += Eigen::Vector2d(1e6, -1e6);
  EXPECT_NEAR(signed_area(far), 6.0, 1e-8);
  EXPECT_DOUBLE_EQ(signed_area(Corners{}), 0.0);
}

TEST(Polygon, ContainsWhatLiesInside) {
  EXPECT_TRUE(contains(kL, {0.5, 2.5}));
  EXPECT_TRUE(contains(kL, {3.5, 0.5}));
  EXPECT_FALSE(contains(kL, {2.0, 2.0}));
  EXPECT_FALSE(contains(kL, {-0.5, 0.5}));
  EXPECT_FALSE(contains(Corners{}, {0.0, 0.0}));
}

TEST(Polygon, CrossingEdgesAreFound) {
  using Edges = std::pair<std::size_t, std::size_t>;
  EXPECT_FALSE(crossing_edges(kL));
  EXPECT_FALSE(crossing_edges(Corners{{0, 0}, {2, 0}, {1, 1}}));
  EXPECT_EQ(crossing_edges(Corners{{0, 0}, {2, 2}, {2, 0}, {0, 2}}), (Edges{0, 2}));          // a bow tie
  EXPECT_EQ(crossing_edges(Corners{{0, 0}, {2, 0}, {2, 0}, {1, 1}}), (Edges{0, 1}));          // a corner twice
  EXPECT_EQ(crossing_edges(Corners{{0, 0}, {2, 0}, {1, 0}, {1, 1}}), (Edges{0, 1}));          // straight back
  EXPECT_EQ(crossing_edges(Corners{{0, 0}, {4, 0}, {4, 2}, {2, 0}, {0, 2}}), (Edges{0, 2}));  // a corner on an edge
  EXPECT_TRUE(crossing_edges(Corners{{0, 0}, {1, 0}}));                                       // there and back
}

}  // namespace
}  // namespace wainscot
