#include "core/ordered_change.hpp"

#include <cmath>
#include <random>
#include <stdexcept>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

using Kind = OrderedChange::Kind;

std::vector<UncertainValue> noisy(int count, double scatter, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> noise(0.0, scatter);
  std::vector<UncertainValue> values;
  for (int i = 0; i < count; ++i) values.push_back({5.0 + noise(random), 1.0});
  return values;
}

TEST(OrderedChange, FindsAStepAndItsPlace) {
  std::vector<UncertainValue> values = noisy(20, 1.0, 1);
  for (std::size_t i = 13; i < values.size(); ++i) values[i].value += 8.0;
  const OrderedChange change = ordered_change(values, 0.01);
  ASSERT_EQ(change.kind, Kind::step);
  EXPECT_EQ(change.first, 13U);
  EXPECT_NEAR(change.before, 5.0, 1.0);
  EXPECT_NEAR(change.after, 13.0, 1.5);
  EXPECT_NEAR(change.after - change.before, 8.0, 3.0 * change.sd);
}

TEST(OrderedChange, FindsADrift) {
  std::vector<UncertainValue> values = noisy(20, 1.0, 2);
  for (std::size_t i = 0; i < values.size(); ++i) values[i].value += 0.6 * static_cast<double>(i);
  const OrderedChange change = ordered_change(values, 0.01);
  ASSERT_EQ(change.kind, Kind::drift);
  EXPECT_NEAR(change.after - change.before, 0.6 * 19.0, 3.0 * change.sd);
  EXPECT_NEAR(change.before, 5.0, 2.0);
}

// The line and its uncertainty in closed form: of weights w about the weighted mean of x, the slope is known to
// 1 / sqrt(sum w (x - mean)^2) (NIST/SEMATECH e-Handbook, 4.4.3.2); here seven values without any scatter.
TEST(OrderedChange, ALineWithoutScatterIsExact) {
  std::vector<UncertainValue> values;
  for (int i = 0; i < 7; ++i) values.push_back({2.0 + 1.0 * i, 0.01});
  const OrderedChange change = ordered_change(values, 0.01);
  ASSERT_EQ(change.kind, Kind::drift);
  EXPECT_NEAR(change.before, 2.0, 1e-9);
  EXPECT_NEAR(change.after, 8.0, 1e-9);
  EXPECT_NEAR(change.sd, 0.01 * 6.0 / std::sqrt(28.0), 1e-9);  // x from -3 to 3
}

TEST(OrderedChange, OneValueThatIsWrongIsNoChange) {
  for (const std::size_t wrong : {0U, 7U, 19U}) {
    std::vector<UncertainValue> values = noisy(20, 1.0, 3);
    values[wrong].value += 100.0;
    EXPECT_EQ(ordered_change(values, 0.01).kind, Kind::none) << wrong;
  }
}

TEST(OrderedChange, FewValuesTellNothing) {
  std::vector<UncertainValue> values = {{1.0, 0.01}, {1.0, 0.01}, {1.0, 0.01}, {9.0, 0.01}, {9.0, 0.01}};
  EXPECT_EQ(ordered_change(values, 0.05).kind, Kind::none);
  values.push_back({9.0, 0.01});
  EXPECT_EQ(ordered_change(values, 0.05).kind, Kind::step);
  EXPECT_EQ(ordered_change({}, 0.05).kind, Kind::none);
  EXPECT_THROW(ordered_change(values, 0.0), std::invalid_argument);
}

TEST(OrderedChange, FalseAlarmsAreRarerThanPromised) {
  for (const double scatter : {1.0, 10.0}) {
    for (const int count : {6, 10, 30, 100}) {
      constexpr unsigned kFleets = 2000;
      constexpr double kFalseAlarm = 0.05;
      int alarmed = 0;
      for (unsigned fleet = 0; fleet < kFleets; ++fleet) {
        alarmed += ordered_change(noisy(count, scatter, 100 + fleet), kFalseAlarm).kind == Kind::none ? 0 : 1;
      }
      EXPECT_LT(alarmed, 1.3 * kFalseAlarm * kFleets) << count << " values, scatter " << scatter;
    }
  }
}

}  // namespace
}  // namespace wainscot
