#include "graph/live/open_edges.hpp"

#include <algorithm>
#include <limits>
#include <sstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// A grid of cells of 10 cm as a drawing, the highest row first: '.' free, '#' a wall, '?' never seen. The lower left
/// corner lies at (1, -2).
OccupancyGrid drawn(const std::string& drawing) {
  std::vector<std::string> rows;
  std::istringstream lines(drawing);
  for (std::string row; lines >> row;) rows.push_back(row);
  std::reverse(rows.begin(), rows.end());
  const std::size_t columns = rows.front().size();
  OccupancyGrid grid;
  grid.frame = {0.1, 10, -20, static_cast<std::int32_t>(columns), static_cast<std::int32_t>(rows.size())};
  grid.probability.assign(columns * rows.size(), std::numeric_limits<float>::quiet_NaN());
  for (std::size_t row = 0; row < rows.size(); ++row) {
    for (std::size_t column = 0; column < columns; ++column) {
      const char cell = rows[row][column];
      if (cell != '?') grid.probability[row * columns + column] = cell == '#' ? 0.95F : 0.05F;
    }
  }
  return grid;
}

/// That an edge has these ends, in either order.
void expect_edge(const OpenEdge& edge, const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
  const bool as_given = (edge.from_m - a).norm() < (edge.from_m - b).norm();
  EXPECT_LT((edge.from_m - (as_given ? a : b)).norm(), 1e-9) << edge.from_m.transpose();
  EXPECT_LT((edge.to_m - (as_given ? b : a)).norm(), 1e-9) << edge.to_m.transpose();
}

TEST(OpenEdges, ARoomThatIsClosedHasNone) {
  EXPECT_TRUE(open_edges(drawn(R"(
    ?#######?
    ?#.....#?
    ?#.....#?
    ?#######?)"),
                         0.0)
                  .empty());
  EXPECT_TRUE(open_edges(OccupancyGrid()).empty());
}

TEST(OpenEdges, ADoorThatNobodyDroveThroughIsOne) {
  const std::vector<OpenEdge> edges = open_edges(drawn(R"(
    ##########????
    #........#????
    #.........????
    #.........????
    #.........????
    #.........????
    #.........????
    #.........????
    #........#????
    ##########????)"));
  ASSERT_EQ(edges.size(), 1U);
  // Column 9, rows 2 to 7: the middles of its first and last cell.
  expect_edge(edges.front(), {1.95, -1.75}, {1.95, -1.25});
}

TEST(OpenEdges, WhatIsTooNarrowForARobotIsNone) {
  const OccupancyGrid grid = drawn(R"(
    ######????
    #.....????
    #.....????
    #.....????
    ######????)");
  EXPECT_TRUE(open_edges(grid).empty()) << "two cells from the first to the last";
  EXPECT_EQ(open_edges(grid, 0.15).size(), 1U);
}

// Free floor at the edge of the grid: what is outside was never seen.
TEST(OpenEdges, TheGridsOwnEdgeIsUnseen) {
  const std::vector<OpenEdge> edges = open_edges(drawn(R"(
    #......
    #######)"));
  ASSERT_EQ(edges.size(), 1U);
  expect_edge(edges.front(), {1.15, -1.85}, {1.65, -1.85});
}

TEST(OpenEdges, TheWidestComesFirst) {
  const std::vector<OpenEdge> edges = open_edges(drawn(R"(
    ####??????######
    #..............#
    #..............?
    #..............?
    #..............?
    #..............?
    #..............?
    #..............#
    ####????????####)"),
                                                 0.35);
  ASSERT_EQ(edges.size(), 3U);
  expect_edge(edges[0], {1.45, -1.85}, {2.15, -1.85});
  expect_edge(edges[1], {1.45, -1.25}, {1.95, -1.25});
  expect_edge(edges[2], {2.45, -1.75}, {2.45, -1.35});
}

// Cells that touch at a corner hang together: the edge of what was seen is seldom straight.
TEST(OpenEdges, ASlantedEdgeIsOne) {
  const std::vector<OpenEdge> edges = open_edges(drawn(R"(
    ########
    #.....??
    #....???
    #...????
    #..?????
    #.??????
    ########)"));
  ASSERT_EQ(edges.size(), 1U);
  expect_edge(edges.front(), {1.15, -1.85}, {1.55, -1.45});
}

// Work grows with what was seen, not with the rectangle around it.
TEST(OpenEdges, OfAHugeGridThatIsHardlySeen) {
  OccupancyGrid grid;
  grid.frame = {0.05, 0, 0, 20'000, 20'000};
  grid.probability.assign(std::size_t{20'000} * 20'000, std::numeric_limits<float>::quiet_NaN());
  for (std::size_t column = 5000; column < 5020; ++column) grid.probability[std::size_t{7000} * 20'000 + column] = 0.1F;
  const std::vector<OpenEdge> edges = open_edges(grid);
  ASSERT_EQ(edges.size(), 1U);
  EXPECT_NEAR((edges.front().to_m - edges.front().from_m).norm(), 19 * 0.05, 1e-9);
}

}  // namespace
}  // namespace wainscot
