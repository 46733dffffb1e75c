#include "io/log/guessed_ticks.hpp"

#include <cmath>
#include <cstdint>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// A minute of 50 rows a second: half of it at rest, half of it at 0.3 m/s.
std::vector<WheelCounts> rows_of(double m_per_tick) {
  std::vector<WheelCounts> rows;
  double way_m = 0.0;
  for (int i = 0; i < 3000; ++i) {
    rows.push_back({0.02 * i, std::llround(way_m / m_per_tick), std::llround(0.9 * way_m / m_per_tick)});
    if (i % 1000 < 500) way_m += 0.02 * 0.3;
  }
  return rows;
}

TEST(GuessedTicks, IsRightToAFactorOfThreeForFineAndForCoarseWheels) {
  for (const double truth : {2e-5, 1e-4, 2e-3, 1e-2}) {
    EXPECT_GT(guessed_m_per_tick(rows_of(truth), 32), truth / 3.0) << truth;
    EXPECT_LT(guessed_m_per_tick(rows_of(truth), 32), truth * 3.0) << truth;
  }
}

TEST(GuessedTicks, WrapsAndRestartsDoNotCount) {
  std::vector<WheelCounts> rows = rows_of(2e-5);
  const double guess = guessed_m_per_tick(rows, 32);
  for (WheelCounts& row : rows) {
    row.left_ticks = static_cast<std::int16_t>(row.left_ticks);
    row.right_ticks = static_cast<std::int16_t>(row.right_ticks);
  }
  EXPECT_DOUBLE_EQ(guessed_m_per_tick(rows, 16), guess);
  for (std::size_t i = 1700; i < rows.size(); ++i) rows[i].left_ticks = 0;
  EXPECT_NEAR(guessed_m_per_tick(rows, 16), guess, 0.2 * guess);
}

TEST(GuessedTicks, WheelsThatStandStill) {
  EXPECT_GT(guessed_m_per_tick({{0.0, 5, 5}, {1.0, 5, 5}}, 32), 0.0);
  EXPECT_GT(guessed_m_per_tick({{0.0, 5, 5}}, 32), 0.0);
}

}  // namespace
}  // namespace wainscot
