#include "graph/measure/lineless_walls.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// 20 x 20 cells of 5 cm, all seen free.
OccupancyGrid free_grid() {
  OccupancyGrid grid;
  grid.frame = {0.05, -4, 2, 20, 20};
  grid.probability = CellProbabilities(400, 0.1F);
  return grid;
}

void make_wall(OccupancyGrid& grid, int column, int row) {
  grid.probability[static_cast<std::size_t>(20 * row + column)] = 0.9F;
}

/// Along the middles of row 3, from column 0 to 19.
WallLine line_along_row_3() {
  const Eigen::Vector2d corner(-0.2, 0.1);
  WallLine line;
  line.from_m = corner + Eigen::Vector2d(0.0, 0.175);
  line.to_m = corner + Eigen::Vector2d(1.0, 0.175);
  return line;
}

TEST(LinelessWalls, AreTheCellsThatNoLineExplains) {
  OccupancyGrid grid = free_grid();
  for (int column = 0; column < 20; ++column) make_wall(grid, column, column % 2 == 0 ? 3 : 5);
  for (int column = 4; column < 12; ++column) make_wall(grid, column, 12);
  const WallLine line = line_along_row_3();
  const LinelessWalls walls = lineless_walls(grid, {&line, 1});
  EXPECT_EQ(walls.groups, 1);
  EXPECT_NEAR(walls.length_m, 0.35, 1e-9);
  EXPECT_EQ(std::count(walls.marked.begin(), walls.marked.end(), true), 8);
  EXPECT_TRUE(walls.marked[20 * 12 + 4]);
  const LinelessWalls all = lineless_walls(grid, {});
  EXPECT_EQ(all.groups, 1) << "rows 3 and 5 do not touch, and no cell of theirs is a wall alone";
}

TEST(LinelessWalls, LegsAreNone) {
  OccupancyGrid grid = free_grid();
  for (int column = 4; column < 8; ++column) make_wall(grid, column, 12);  // 0.15 m from middle to middle
  EXPECT_EQ(lineless_walls(grid, {}).groups, 0);
  make_wall(grid, 8, 13);  // touches at a corner
  const LinelessWalls walls = lineless_walls(grid, {});
  EXPECT_EQ(walls.groups, 1);
  EXPECT_NEAR(walls.length_m, 0.05 * std::sqrt(17.0), 1e-9);
}

TEST(LinelessWalls, UnseenCellsAreNoWallAndLinesMayLeaveTheGrid) {
  OccupancyGrid grid = free_grid();
  grid.probability = CellProbabilities(400, std::numeric_limits<float>::quiet_NaN());
  WallLine line = line_along_row_3();
  line.to_m.x() = 50.0;
  line.from_m.y() = -50.0;
  const LinelessWalls walls = lineless_walls(grid, {&line, 1});
  EXPECT_EQ(walls.groups, 0);
  EXPECT_EQ(walls.marked.size(), 400U);
  EXPECT_TRUE(lineless_walls({}, {}).marked.empty());
}

}  // namespace
}  // namespace wainscot
