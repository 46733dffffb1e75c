#include "io/rooms/door_leaf.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "tests/io/rooms/two_rooms.hpp"

namespace wainscot {
namespace {

/// From the hinge at the lower jamb into the left room.
TwoRooms home_with_leaf(double open_deg) {
  TwoRooms home;
  const double angle_rad = open_deg * std::acos(-1.0) / 180.0;
  for (double way_m = 0.0; way_m < 0.85; way_m += 0.01) {
    home.grid.probability[home.cell_at(2.46 - way_m * std::sin(angle_rad), 1.0 + way_m * std::cos(angle_rad))] = 0.9F;
  }
  return home;
}

TEST(DoorLeaf, IsFoundHalfOpen) {
  for (const double open_deg : {30.0, 45.0, 55.0}) {
    const TwoRooms home = home_with_leaf(open_deg);
    const double angle_rad = open_deg * std::acos(-1.0) / 180.0;
    const Eigen::Vector2d end(2.46 - 0.83 * std::sin(angle_rad), 1.0 + 0.83 * std::cos(angle_rad));
    const auto leaf = half_open_leaf(open_floor(home.grid), {2.46, 1.83}, end);
    ASSERT_TRUE(leaf) << open_deg;
    EXPECT_NEAR(leaf->open_rad(), angle_rad, 0.15) << open_deg;
    EXPECT_NEAR((leaf->hinge_m - Eigen::Vector2d(2.46, 1.0)).norm(), 0.0, 0.15) << open_deg;
    EXPECT_EQ(leaf->end_m, end);
  }
}

TEST(DoorLeaf, JambsHaveNone) {
  const TwoRooms home;
  EXPECT_FALSE(half_open_leaf(open_floor(home.grid), {2.5, 1.0}, {2.5, 1.8}));
}

TEST(DoorLeaf, ItsAngleIsThatFromShut) {
  const DoorLeaf leaf{{0.0, 0.0}, {0.8, 0.0}, {0.0, 0.8}};
  EXPECT_NEAR(leaf.open_rad(), std::acos(0.0), 1e-12);
}

}  // namespace
}  // namespace wainscot
