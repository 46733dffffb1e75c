#include "io/rooms/floor_basins.hpp"

#include <vector>

#include <gtest/gtest.h>

#include "tests/io/rooms/two_rooms.hpp"

namespace wainscot {
namespace {

std::vector<bool> none_of(const OpenFloor& floor) { return std::vector<bool>(floor.open.size(), false); }

TEST(FloorBasins, TwoRoomsMeetInTheDoor) {
  const TwoRooms home;
  const OpenFloor floor = open_floor(home.grid);
  const FloorBasins basins = floor_basins(floor, none_of(floor));
  ASSERT_EQ(basins.count, 2);
  ASSERT_EQ(basins.passes.size(), 1U);
  EXPECT_EQ(basins.of_cell[home.cell_at(2.51, 0.51)], -1);
  const std::int32_t left = basins.of_cell[home.cell_at(1.01, 1.01)];
  const std::int32_t right = basins.of_cell[home.cell_at(4.01, 1.01)];
  EXPECT_NE(left, right);
  for (double y_m = 1.01; y_m < 1.8; y_m += 0.05) {  // the wall's middle parts them
    EXPECT_EQ(basins.of_cell[home.cell_at(2.41, y_m)], left) << y_m;
    EXPECT_EQ(basins.of_cell[home.cell_at(2.56, y_m)], right) << y_m;
  }
  const Eigen::Vector2d pass = floor.middle_m(basins.passes.front().cell);
  EXPECT_NEAR(pass.x(), 2.5, 0.051);
  EXPECT_NEAR(pass.y(), 1.4, 0.051);
  EXPECT_FLOAT_EQ(basins.passes.front().clearance, 8.0F);
}

TEST(FloorBasins, TakenCellsBelongToNone) {
  const TwoRooms home;
  const OpenFloor floor = open_floor(home.grid);
  std::vector<bool> taken = none_of(floor);
  for (std::size_t cell = 0; cell < taken.size(); ++cell) taken[cell] = floor.middle_m(cell).x() < 2.5;
  const FloorBasins basins = floor_basins(floor, taken);
  EXPECT_EQ(basins.count, 1);
  EXPECT_TRUE(basins.passes.empty());
  EXPECT_EQ(basins.of_cell[home.cell_at(1.01, 1.01)], -1);
  EXPECT_EQ(basins.of_cell[home.cell_at(4.01, 1.01)], 0);
}

TEST(FloorBasins, AWideHallIsOne) {
  TwoRooms home;
  home.fill(2.45, 0.05, 2.55, 2.95, 0.02F);  // no wall between
  const OpenFloor floor = open_floor(home.grid);
  EXPECT_EQ(floor_basins(floor, none_of(floor)).count, 1);
}

}  // namespace
}  // namespace wainscot
