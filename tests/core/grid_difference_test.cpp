#include "core/grid_difference.hpp"

#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// A free room of `columns` by `rows` cells of 5 cm, lower left corner at the origin.
OccupancyGrid room(std::int32_t columns, std::int32_t rows) {
  return {{0.05, 0, 0, columns, rows}, std::vector<float>(static_cast<std::size_t>(columns * rows), 0.0F)};
}

void put_wall(OccupancyGrid& grid, std::int32_t column, std::int32_t row) {
  grid.probability[static_cast<std::size_t>(row * grid.frame.columns + column)] = 1.0F;
}

CellDifference at(const GridDifference& difference, std::int32_t column, std::int32_t row) {
  const std::int32_t c = column - difference.frame.first_column;
  const std::int32_t r = row - difference.frame.first_row;
  return difference.cell[static_cast<std::size_t>(r * difference.frame.columns + c)];
}

TEST(GridDifference, TellsMovedThingsFromWallsThatAgree) {
  OccupancyGrid first = room(20, 10);
  OccupancyGrid second = room(20, 10);
  put_wall(first, 3, 3);
  put_wall(second, 4, 3);  // within reach: the same wall
  put_wall(first, 10, 5);
  put_wall(second, 15, 5);
  first.probability[7] = std::numeric_limits<float>::quiet_NaN();
  second.probability[7] = std::numeric_limits<float>::quiet_NaN();
  const GridDifference difference = grid_difference(first, second, {});
  EXPECT_EQ(at(difference, 3, 3), CellDifference::wall_in_both);
  EXPECT_EQ(at(difference, 4, 3), CellDifference::wall_in_both);
  EXPECT_EQ(at(difference, 10, 5), CellDifference::only_first);
  EXPECT_EQ(at(difference, 15, 5), CellDifference::only_second);
  EXPECT_EQ(at(difference, 7, 0), CellDifference::unseen);
  EXPECT_EQ(at(difference, 0, 0), CellDifference::floor);
  EXPECT_EQ(difference.count(CellDifference::only_first), 1u);
}

TEST(GridDifference, LaysTheSecondWhereItsPoseSays) {
  OccupancyGrid first = room(20, 10);
  put_wall(first, 12, 4);
  // The second map's frame stands a quarter turn to the left at (1, 0): its (x, y) is the first's (1 - y, x).
  OccupancyGrid second = room(10, 20);
  put_wall(second, 4, 7);
  const GridDifference difference = grid_difference(first, second, {1.0, 0.0, std::numbers::pi / 2});
  EXPECT_EQ(at(difference, 12, 4), CellDifference::wall_in_both);
  EXPECT_EQ(difference.count(CellDifference::only_first), 0u);
  EXPECT_EQ(difference.count(CellDifference::only_second), 0u);
}

TEST(GridDifference, WhatOneDidNotSeeIsNoDifference) {
  OccupancyGrid first = room(5, 5);
  const OccupancyGrid second = room(20, 5);
  OccupancyGrid beyond = second;
  put_wall(beyond, 15, 2);
  EXPECT_EQ(grid_difference(first, beyond, {}).count(CellDifference::only_second), 0u);
  EXPECT_EQ(at(grid_difference(first, beyond, {}), 15, 2), CellDifference::wall_in_both);
  EXPECT_EQ(at(grid_difference(first, second, {}), 15, 2), CellDifference::floor);
}

}  // namespace
}  // namespace wainscot
