#include "core/odd_values.hpp"

#include <cmath>
#include <random>
#include <stdexcept>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

using Indices = std::vector<std::size_t>;

std::vector<UncertainValue> widths(std::initializer_list<double> values) {
  std::vector<UncertainValue> result;
  for (const double value : values) result.push_back({value, 0.001});
  return result;
}

TEST(OddValues, FindsTheOneThatDiffersFromItsSisters) {
  EXPECT_EQ(odd_values(widths({0.288, 0.289, 0.301, 0.287, 0.288, 0.2885}), 0.01), Indices{2});
}

TEST(OddValues, FewerThanFiveTellNothing) {
  EXPECT_TRUE(odd_values(widths({0.288, 0.288, 0.288, 0.4}), 0.01).empty());
  EXPECT_EQ(odd_values(widths({0.288, 0.288, 0.288, 0.288, 0.4}), 0.01), Indices{4});
}

TEST(OddValues, TwoOfFiveMayBeWrong) {
  EXPECT_EQ(odd_values(widths({0.288, 0.35, 0.288, 0.288, 0.21}), 0.01), (Indices{1, 4}));
}

TEST(OddValues, AValuesOwnUncertaintyExcusesIt) {
  std::vector<UncertainValue> values = widths({0.288, 0.289, 0.301, 0.287, 0.288, 0.2885});
  values[2].sd = 0.01;
  EXPECT_TRUE(odd_values(values, 0.01).empty());
}

TEST(OddValues, ValuesThatAreTheSameAreNotOdd) {
  EXPECT_TRUE(odd_values(widths({0.288, 0.288, 0.288, 0.288, 0.2881, 0.288}), 0.01).empty());
}

TEST(OddValues, CommonValueIsTheMedianAndItsAbsoluteDeviation) {
  const CommonValue common = common_value(widths({1.0, 2.0, 3.0, 4.0, 100.0}));
  EXPECT_EQ(common.middle, 3.0);
  EXPECT_NEAR(common.spread, 1.4826, 1e-4);  // of deviations 2, 1, 0, 1, 97
  EXPECT_EQ(common_value({}).spread, 0.0);
}

TEST(OddValues, RefusesWhatIsNoProbability) {
  EXPECT_THROW(odd_values(widths({1.0}), 0.0), std::invalid_argument);
  EXPECT_THROW(odd_values(widths({1.0}), 1.0), std::invalid_argument);
}

// The promise of the header, for drives that differ by their own uncertainty, and by far more than that.
TEST(OddValues, FalseAlarmsAreRarerThanPromised) {
  std::mt19937 random(11);
  for (const double scatter : {1.0, 10.0}) {
    for (const int count : {5, 6, 8, 12, 30, 100}) {
      constexpr int kFleets = 2000;
      constexpr double kFalseAlarm = 0.05;
      std::normal_distribution<double> noise(0.0, scatter);
      int alarmed = 0;
      for (int fleet = 0; fleet < kFleets; ++fleet) {
        std::vector<UncertainValue> values;
        for (int i = 0; i < count; ++i) values.push_back({noise(random), 1.0});
        alarmed += odd_values(values, kFalseAlarm / count).empty() ? 0 : 1;
      }
      EXPECT_LT(alarmed, 1.3 * kFalseAlarm * kFleets) << count << " values, scatter " << scatter;
    }
  }
}

}  // namespace
}  // namespace wainscot
