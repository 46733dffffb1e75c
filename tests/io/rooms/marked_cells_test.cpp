#include "io/rooms/marked_cells.hpp"

#include <algorithm>

#include <gtest/gtest.h>

#include "tests/io/rooms/two_rooms.hpp"

namespace wainscot {
namespace {

bool is_wall(const TwoRooms& home, double x_m, double y_m) {
  return home.grid.probability[home.cell_at(x_m, y_m)] >= 0.5F;
}

TEST(MarkedCells, CellsWithinAPolygon) {
  const TwoRooms home;
  const auto cells = cells_within(home.grid.frame, {{1.0, 1.0}, {1.5, 1.0}, {1.5, 1.2}, {1.0, 1.2}});
  EXPECT_EQ(cells.size(), 40U);
  EXPECT_TRUE(std::is_sorted(cells.begin(), cells.end()));
  EXPECT_EQ(cells.front(), home.cell_at(1.01, 1.01));
  EXPECT_TRUE(cells_within(home.grid.frame, {{8.0, 1.0}, {8.5, 1.0}, {8.5, 1.2}}).empty());
}

TEST(MarkedCells, AnAreaIsClosedToItsEdges) {
  TwoRooms home;
  // Narrower than a cell: it holds no cell's middle.
  EXPECT_GT(close_area(home.grid, {{1.01, 1.01}, {1.49, 1.01}, {1.49, 1.02}, {1.01, 1.02}}), 9U);
  EXPECT_TRUE(is_wall(home, 1.02, 1.02));
  EXPECT_TRUE(is_wall(home, 1.26, 1.02));
  EXPECT_FALSE(is_wall(home, 1.26, 1.12));
  EXPECT_EQ(close_area(home.grid, {{8.0, 1.0}, {8.5, 1.0}, {8.5, 1.2}}), 0U);
}

TEST(MarkedCells, AGapIsClosed) {
  TwoRooms home;
  close_gap(home.grid, {2.5, 0.98}, {2.5, 1.82});
  const OpenFloor floor = open_floor(home.grid);
  for (double y_m = 0.96; y_m < 1.85; y_m += 0.05) EXPECT_FALSE(floor.is_open({2.49, y_m})) << y_m;
  EXPECT_TRUE(floor.is_open({2.3, 1.4}));
}

TEST(MarkedCells, ALeafIsTakenAwayWithoutItsHinge) {
  TwoRooms home;
  home.fill(1.65, 1.0, 2.45, 1.05, 0.9F);
  take_leaf_away(home.grid, {{2.45, 1.025}, {1.65, 1.025}, {2.5, 1.8}});
  EXPECT_FALSE(is_wall(home, 1.67, 1.02));
  EXPECT_FALSE(is_wall(home, 2.2, 1.02));
  EXPECT_TRUE(is_wall(home, 2.46, 0.96)) << "the frame stays";
  EXPECT_TRUE(std::isnan(home.grid.probability[home.cell_at(-0.1, 1.0)]));
}

}  // namespace
}  // namespace wainscot
