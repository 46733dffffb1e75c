#include "io/rooms/open_floor.hpp"

#include <stdexcept>

#include <gtest/gtest.h>

#include "tests/io/rooms/two_rooms.hpp"

namespace wainscot {
namespace {

TEST(OpenFloor, IsFreeFloorAndItsDistanceFromTheWalls) {
  const TwoRooms home;
  const OpenFloor floor = open_floor(home.grid);
  EXPECT_TRUE(floor.open[home.cell_at(1.01, 1.01)]);
  EXPECT_FALSE(floor.open[home.cell_at(2.51, 0.51)]);  // the wall
  EXPECT_FALSE(floor.open[home.cell_at(-0.1, 1.0)]);   // never seen
  EXPECT_FLOAT_EQ(floor.clearance[home.cell_at(0.06, 1.01)], 1.0F);
  EXPECT_FLOAT_EQ(floor.clearance[home.cell_at(0.51, 1.51)], 10.0F);
  EXPECT_FLOAT_EQ(floor.clearance[home.cell_at(2.51, 0.51)], 0.0F);
}

TEST(OpenFloor, LegsAreNoWalls) {
  TwoRooms home;
  home.fill(1.0, 1.0, 1.1, 1.15, 0.9F);  // a leg
  home.fill(1.0, 2.0, 1.2, 2.1, 0.9F);   // a thing of 0.2 m
  home.fill(3.0, 1.0, 3.05, 1.05, std::numeric_limits<float>::quiet_NaN());
  const OpenFloor floor = open_floor(home.grid);
  EXPECT_TRUE(floor.open[home.cell_at(1.02, 1.02)]);
  EXPECT_FALSE(floor.open[home.cell_at(1.02, 2.02)]);
  EXPECT_TRUE(floor.open[home.cell_at(3.02, 1.02)]);
}

TEST(OpenFloor, PlacesAndCells) {
  const TwoRooms home;
  const OpenFloor floor = open_floor(home.grid);
  const std::size_t cell = home.cell_at(1.01, 2.01);
  EXPECT_EQ(floor.cell_at({1.01, 2.01}), cell);
  EXPECT_NEAR((floor.middle_m(cell) - Eigen::Vector2d(1.025, 2.025)).norm(), 0.0, 1e-9);
  EXPECT_TRUE(floor.is_open({1.01, 2.01}));
  EXPECT_FALSE(floor.cell_at({-0.26, 1.0}));
  EXPECT_FALSE(floor.cell_at({5.26, 1.0}));
  EXPECT_FALSE(floor.is_open({99.0, 99.0}));
}

TEST(OpenFloor, AMapWithoutWallsHasNone) {
  TwoRooms home;
  home.fill(-0.25, -0.25, 5.25, 3.25, 0.0F);
  EXPECT_THROW(open_floor(home.grid), std::invalid_argument);
}

}  // namespace
}  // namespace wainscot
