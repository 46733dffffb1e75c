#include "io/draw/cell_outlines.hpp"

#include <algorithm>
#include <cstdint>
#include <random>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// Twice the signed area: positive for a border that runs counter-clockwise (the shoelace formula).
int doubled_area(const CellOutline& outline) {
  int sum = 0;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Eigen::Vector2i& a = outline[i];
    const Eigen::Vector2i& b = outline[(i + 1) % outline.size()];
    sum += a.x() * b.y() - a.y() * b.x();
  }
  return sum;
}

/// How often the borders go round the cell's middle: crossings to its right.
int winding(const std::vector<CellOutline>& outlines, std::int32_t column, std::int32_t row) {
  int turns = 0;
  for (const CellOutline& outline : outlines) {
    for (std::size_t i = 0; i < outline.size(); ++i) {
      const Eigen::Vector2i& a = outline[i];
      const Eigen::Vector2i& b = outline[(i + 1) % outline.size()];
      if (a.x() == b.x() && a.x() > column && std::min(a.y(), b.y()) <= row && row < std::max(a.y(), b.y())) {
        turns += b.y() > a.y() ? 1 : -1;
      }
    }
  }
  return turns;
}

TEST(CellOutlines, ARectangleHasFourCorners) {
  std::vector<bool> marked(20, false);
  for (const int cell : {6, 7, 11, 12}) marked[static_cast<std::size_t>(cell)] = true;  // of 5 columns
  const std::vector<CellOutline> outlines = cell_outlines(marked, 5, 4);
  ASSERT_EQ(outlines.size(), 1u);
  EXPECT_EQ(outlines[0].size(), 4u);
  EXPECT_EQ(outlines[0][0], Eigen::Vector2i(1, 1));
  EXPECT_EQ(doubled_area(outlines[0]), 2 * 4);
}

TEST(CellOutlines, AHoleRunsTheOtherWay) {
  std::vector<bool> marked(9, true);
  marked[4] = false;
  const std::vector<CellOutline> outlines = cell_outlines(marked, 3, 3);
  ASSERT_EQ(outlines.size(), 2u);
  EXPECT_EQ(doubled_area(outlines[0]), 18);
  EXPECT_EQ(doubled_area(outlines[1]), -2);
}

TEST(CellOutlines, CellsThatTouchAtACornerStayApart) {
  EXPECT_EQ(cell_outlines({true, false, false, true}, 2, 2).size(), 2u);
  EXPECT_EQ(cell_outlines({false, true, true, false}, 2, 2).size(), 2u);
}

TEST(CellOutlines, FillJustTheMarkedCells) {
  std::mt19937 random(3);
  for (int trial = 0; trial < 50; ++trial) {
    std::vector<bool> marked;
    for (int i = 0; i < 12 * 9; ++i) marked.push_back(random() % 2 == 0);
    const std::vector<CellOutline> outlines = cell_outlines(marked, 12, 9);
    for (std::int32_t row = 0; row < 9; ++row) {
      for (std::int32_t column = 0; column < 12; ++column) {
        EXPECT_EQ(winding(outlines, column, row), marked[static_cast<std::size_t>(12 * row + column)] ? 1 : 0);
      }
    }
  }
}

TEST(CellOutlines, OfNothingAreNone) { EXPECT_TRUE(cell_outlines({}, 0, 0).empty()); }

}  // namespace
}  // namespace wainscot
