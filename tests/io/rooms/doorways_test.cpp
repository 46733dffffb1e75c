#include "io/rooms/doorways.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "tests/io/rooms/two_rooms.hpp"

namespace wainscot {
namespace {

std::vector<Doorway> doors_of(const TwoRooms& home) {
  const OpenFloor floor = open_floor(home.grid);
  const RoomList list{"rooms.csv", {{"left", false, {{{1.0, 1.0}, 2}}}, {"right", false, {{{4.0, 1.0}, 3}}}}, {}, {}};
  return doorways(floor, room_labels(floor, list));
}

TEST(Doorways, ADoorBetweenTwoRooms) {
  const TwoRooms home;
  const std::vector<Doorway> doors = doors_of(home);
  ASSERT_EQ(doors.size(), 1U);
  const Doorway& door = doors.front();
  EXPECT_EQ(door.room_1, 0);
  EXPECT_EQ(door.room_2, 1);
  // The free cells are 0.8 m wide; each face lies half a cell further in the mean.
  EXPECT_NEAR(door.width_m, 0.85, 0.011);
  EXPECT_NEAR(door.sd_m, 0.05 * std::sqrt(1.0 / 3.0), 1e-12);
  EXPECT_NEAR((door.middle_m() - Eigen::Vector2d(2.5, 1.4)).norm(), 0.0, 0.06);
  EXPECT_NEAR(door.from_m.x(), door.to_m.x(), 0.03) << "square to the jambs";
  EXPECT_FALSE(door.by_faces);
  EXPECT_FALSE(door.leaf);
}

TEST(Doorways, TwoDoorsBetweenTheSameRooms) {
  TwoRooms home;
  home.fill(2.45, 2.2, 2.55, 2.8, 0.02F);
  const std::vector<Doorway> doors = doors_of(home);
  ASSERT_EQ(doors.size(), 2U);
  EXPECT_NEAR(doors[0].width_m, 0.85, 0.011);
  EXPECT_NEAR(doors[1].width_m, 0.65, 0.011);
}

TEST(Doorways, ACrackIsNone) {
  TwoRooms home;
  home.fill(2.45, 1.0, 2.55, 1.8, 0.95F);
  home.fill(2.45, 1.4, 2.55, 1.55, 0.02F);
  EXPECT_TRUE(doors_of(home).empty());
}

TEST(Doorways, AHalfOpenLeafIsFound) {
  TwoRooms home;
  // From the hinge at the lower jamb into the left room, 45 degrees from shut.
  for (double way_m = 0.0; way_m < 0.8; way_m += 0.02) {
    const double x_m = 2.5 - way_m * std::sqrt(0.5);
    const double y_m = 1.0 + way_m * std::sqrt(0.5);
    home.grid.probability[home.cell_at(x_m, y_m)] = 0.9F;
    home.grid.probability[home.cell_at(x_m - 0.05, y_m)] = 0.9F;
  }
  const std::vector<Doorway> doors = doors_of(home);
  ASSERT_EQ(doors.size(), 1U);
  ASSERT_TRUE(doors[0].leaf);
  EXPECT_NEAR(doors[0].leaf->open_rad(), 0.785, 0.15);
  EXPECT_NEAR((doors[0].leaf->hinge_m - Eigen::Vector2d(2.5, 1.0)).norm(), 0.0, 0.15);
  EXPECT_LT(doors[0].width_m, 0.75);
}

}  // namespace
}  // namespace wainscot
