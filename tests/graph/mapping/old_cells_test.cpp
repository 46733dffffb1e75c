#include "graph/mapping/old_cells.hpp"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

constexpr float kUnseen = std::numeric_limits<float>::quiet_NaN();
const GridFrame kFrame{0.05, -10, -10, 40, 40};

OccupancyGrid unseen_grid() { return {kFrame, std::vector<float>(1600, kUnseen)}; }

std::size_t cell(int column, int row) { return static_cast<std::size_t>(row * 40 + column); }

TEST(OldCells, FillWhatTheGridHasNotSeen) {
  OccupancyGrid old_grid = unseen_grid();
  old_grid.probability[cell(5, 6)] = 0.98F;
  old_grid.probability[cell(5, 9)] = 0.02F;
  OccupancyGrid grid = unseen_grid();
  grid.probability[cell(20, 20)] = 0.9F;
  keep_old_cells(old_grid, {{{}, {}}}, grid);
  EXPECT_EQ(grid.probability[cell(5, 6)], 0.98F);
  EXPECT_EQ(grid.probability[cell(5, 9)], 0.02F);
  EXPECT_EQ(grid.probability[cell(20, 20)], 0.9F);
  EXPECT_TRUE(std::isnan(grid.probability[cell(6, 6)]));
}

TEST(OldCells, WhatTheGridKnowsItKeeps) {
  OccupancyGrid old_grid = unseen_grid();
  for (const int row : {5, 15, 25, 35}) old_grid.probability[cell(5, row)] = 0.98F;
  OccupancyGrid grid = unseen_grid();
  for (int row = 3; row <= 7; ++row) {
    for (int column = 3; column <= 7; ++column) grid.probability[cell(column, row)] = 0.01F;  // seen through since
  }
  grid.probability[cell(5, 35)] = 0.01F;  // brushed: nothing was seen behind
  grid.probability[cell(5, 15)] = 0.33F;  // one return: not sure
  grid.probability[cell(6, 25)] = 0.95F;  // the same wall, one cell beside
  keep_old_cells(old_grid, {{{}, {}}}, grid);
  EXPECT_EQ(grid.probability[cell(5, 5)], 0.01F);
  EXPECT_EQ(grid.probability[cell(5, 15)], 0.98F);
  EXPECT_TRUE(std::isnan(grid.probability[cell(5, 25)]));
  EXPECT_EQ(grid.probability[cell(5, 35)], 0.98F);
}

TEST(OldCells, MoveWithTheNearestNode) {
  OccupancyGrid old_grid = unseen_grid();
  old_grid.probability[cell(2, 2)] = 0.98F;
  old_grid.probability[cell(37, 37)] = 0.97F;
  OccupancyGrid grid = unseen_grid();
  const Pose2 left_below{-0.4, -0.4, 0.0};
  const Pose2 right_above{1.4, 1.4, 0.0};
  keep_old_cells(old_grid, {{left_below, left_below}, {right_above, {1.3, 1.4, 0.0}}}, grid);
  EXPECT_EQ(grid.probability[cell(2, 2)], 0.98F);
  EXPECT_EQ(grid.probability[cell(35, 37)], 0.97F);
  EXPECT_TRUE(std::isnan(grid.probability[cell(37, 37)]));
}

}  // namespace
}  // namespace wainscot
