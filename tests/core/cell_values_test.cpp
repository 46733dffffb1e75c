#include "core/cell_values.hpp"

#include <algorithm>
#include <stdexcept>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

using Values = CellValues<int, 4>;

std::vector<std::size_t> touched_cells(const Values& values) {
  std::vector<std::size_t> cells;
  values.for_each_touched([&](std::size_t cell, int value) {
    EXPECT_EQ(value, values[cell]);
    cells.push_back(cell);
  });
  return cells;
}

TEST(CellValues, BeginAsOneValueAndKeepWhatIsWritten) {
  Values values(10, 7);
  EXPECT_EQ(values.size(), 10u);
  EXPECT_EQ(std::as_const(values)[9], 7);
  EXPECT_TRUE(touched_cells(values).empty()) << "looking makes no page";
  values[9] = 1;
  values[1] = 2;
  EXPECT_EQ(std::vector<int>(std::as_const(values).begin(), std::as_const(values).end()),
            (std::vector<int>{7, 2, 7, 7, 7, 7, 7, 7, 7, 1}));
  EXPECT_EQ(touched_cells(values), (std::vector<std::size_t>{0, 1, 2, 3, 8, 9}));
  const Values copy = values;
  values[1] = 3;
  EXPECT_EQ(copy[1], 2);
  values.assign(3, 5);
  EXPECT_EQ(values.size(), 3u);
  EXPECT_TRUE(touched_cells(values).empty());
  EXPECT_EQ(std::as_const(values)[1], 5);
}

TEST(CellValues, AreUsedLikeAVector) {
  EXPECT_EQ(Values({1, 2}).size(), 2u);
  Values values = std::vector<int>{1, 2, 3, 4, 5};
  values.push_back(6);
  EXPECT_EQ(values.size(), 6u);
  for (int& value : values) value *= 10;
  EXPECT_EQ(std::count_if(values.begin(), values.end(), [](int value) { return value > 30; }), 3);
  EXPECT_EQ(values.at(5), 60);
  values.at(0) = -1;
  EXPECT_EQ(*values.begin(), -1);
  EXPECT_THROW(values.at(6), std::out_of_range);
  EXPECT_THROW(std::as_const(values).at(6), std::out_of_range);
  EXPECT_TRUE(Values().empty());
}

}  // namespace
}  // namespace wainscot
