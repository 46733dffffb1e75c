#include "graph/mapping/wall_direction.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

WallPiece piece(double normal_rad, double length_m) { return {{0.0, 0.0}, normal_rad, 0.5 * length_m, 0.002, 50, 5}; }

TEST(WallDirectionTest, RightAnglesCountAsOne) {
  for (const double turn : {0.0, 0.3, 0.78, 1.2, -2.9}) {
    std::vector<WallPiece> pieces;
    for (int i = 0; i < 4; ++i) pieces.push_back(piece(turn + i * std::numbers::pi / 2.0, 0.3));
    const auto found = wall_direction(pieces);
    ASSERT_TRUE(found);
    EXPECT_NEAR(std::remainder(found->direction_rad - turn, std::numbers::pi / 2.0), 0.0, 1e-9);
    EXPECT_GE(found->direction_rad, 0.0);
    EXPECT_LT(found->direction_rad, std::numbers::pi / 2.0);
    EXPECT_NEAR(found->share, 1.0, 1e-12);
  }
}

TEST(WallDirectionTest, MostWallDecidesNotTheMeanOfAll) {
  std::vector<WallPiece> pieces;
  for (int i = 0; i < 10; ++i) pieces.push_back(piece(0.2 + (i % 2 == 0 ? 0.01 : -0.01), 0.3));
  for (int i = 0; i < 20; ++i) pieces.push_back(piece(0.8, 0.1));  // more of them, but shorter
  const auto found = wall_direction(pieces);
  ASSERT_TRUE(found);
  EXPECT_NEAR(found->direction_rad, 0.2, 1e-6);
  EXPECT_NEAR(found->share, 0.6, 1e-9);
}

TEST(WallDirectionTest, NoWallsNoDirection) { EXPECT_FALSE(wall_direction({})); }

}  // namespace
}  // namespace wainscot
