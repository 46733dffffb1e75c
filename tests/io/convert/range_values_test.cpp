#include "io/convert/range_values.hpp"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// Ranges of a home, in one of it.
std::vector<double> home(double unit_m, bool whole) {
  std::vector<double> values;
  for (int i = 0; i < 20000; ++i) {
    const double range = (0.4 + 5.0 * std::fmod(0.6180339887 * i, 1.0)) / unit_m;
    values.push_back(whole ? std::round(range) : range);
  }
  return values;
}

TEST(RangeValues, TheUnitOfAHome) {
  EXPECT_EQ(guess_range_values(home(1.0, false)).unit, "m");
  EXPECT_EQ(guess_range_values(home(0.01, true)).unit, "cm");
  EXPECT_EQ(guess_range_values(home(0.001, true)).unit, "mm");
  EXPECT_GE(guess_range_values(home(0.001, true)).percent, 95);
}

TEST(RangeValues, AHallInCentimetresIsADoubt) {
  std::vector<double> hall = home(0.01, true);
  for (double& v : hall) v *= 3.2;  // 16 m, or a cupboard in millimetres
  const RangeValues guess = guess_range_values(hall);
  EXPECT_LT(guess.percent, 95);
  EXPECT_FALSE(guess.other_units.empty());
}

TEST(RangeValues, ValuesThatComeOverAndOverAreNoReturns) {
  std::vector<double> values = home(0.001, true);
  values.insert(values.end(), 500, 65535.0);
  values.insert(values.end(), 200, 12000.0);
  values.insert(values.end(), 300, std::numeric_limits<double>::quiet_NaN());
  values.insert(values.end(), 300, -1.0);
  const RangeValues guess = guess_range_values(values);
  EXPECT_EQ(guess.no_return, (std::vector<double>{65535.0, 12000.0}));
  EXPECT_EQ(guess.unit, "mm");
}

TEST(RangeValues, TheFarthestWallIsNoCode) { EXPECT_TRUE(guess_range_values(home(0.01, true)).no_return.empty()); }

}  // namespace
}  // namespace wainscot
