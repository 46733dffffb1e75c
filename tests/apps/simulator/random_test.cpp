#include "apps/simulator/random.hpp"

#include <cmath>
#include <set>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot::simulator {
namespace {

TEST(Random, UniformHasTheMomentsOfTheUniformLaw) {
  Random random(1, "test");
  const int n = 200000;
  double sum = 0.0;
  double squares = 0.0;
  for (int i = 0; i < n; ++i) {
    const double u = random.uniform();
    ASSERT_GE(u, 0.0);
    ASSERT_LT(u, 1.0);
    sum += u;
    squares += u * u;
  }
  // Four standard errors of the mean (1/12 variance) and of the mean square (4/45 variance).
  EXPECT_NEAR(sum / n, 0.5, 4.0 * std::sqrt(1.0 / 12.0 / n));
  EXPECT_NEAR(squares / n, 1.0 / 3.0, 4.0 * std::sqrt(4.0 / 45.0 / n));
}

TEST(Random, NormalHasTheMomentsOfTheNormalLaw) {
  Random random(2, "test");
  const int n = 200000;
  double sum = 0.0;
  double squares = 0.0;
  int within = 0;
  for (int i = 0; i < n; ++i) {
    const double x = random.normal();
    sum += x;
    squares += x * x;
    within += std::abs(x) < 1.959964 ? 1 : 0;
  }
  EXPECT_NEAR(sum / n, 0.0, 4.0 / std::sqrt(n));
  EXPECT_NEAR(squares / n, 1.0, 4.0 * std::sqrt(2.0 / n));
  EXPECT_NEAR(static_cast<double>(within) / n, 0.95, 4.0 * std::sqrt(0.95 * 0.05 / n));
}

TEST(Random, StreamsAndSeedsDoNotRepeatEachOther) {
  std::set<double> seen;
  for (std::uint64_t seed = 0; seed < 50; ++seed) {
    for (const char* stream : {"a", "b", "ab", ""}) seen.insert(Random(seed, stream).uniform());
  }
  EXPECT_EQ(seen.size(), 200U);
}

TEST(Random, BelowReachesEveryNumberAndNoOther) {
  Random random(3, "test");
  std::set<int> seen;
  for (int i = 0; i < 1000; ++i) seen.insert(random.below(7));
  EXPECT_EQ(seen, (std::set<int>{0, 1, 2, 3, 4, 5, 6}));
}

TEST(CorrelatedNoise, ForgetsWithinItsTime) {
  const double step = 0.05;
  CorrelatedNoise noise(Random(4, "test"), 1.0);
  std::vector<double> values;
  values.reserve(400000);
  for (int i = 0; i < 400000; ++i) values.push_back(noise.next(step));
  double variance = 0.0;
  double after_one_second = 0.0;
  const std::size_t lag = 20;
  const std::size_t n = values.size() - lag;
  for (std::size_t i = 0; i < n; ++i) {
    variance += values[i] * values[i] / static_cast<double>(n);
    after_one_second += values[i] * values[i + lag] / static_cast<double>(n);
  }
  EXPECT_NEAR(variance, 1.0, 0.05);
  EXPECT_NEAR(after_one_second, std::exp(-1.0), 0.05);
}

TEST(Random, StudentsTHasTheQuantilesOfTheTable) {
  // Two-sided 95 % points: JCGM 100:2008, table G.2.
  for (const auto& [freedom, point] : {std::pair(1.0, 12.71), {2.0, 4.30}, {3.0, 3.18}, {10.0, 2.23}}) {
    Random random(5, "test");
    const int n = 100000;
    int within = 0;
    for (int i = 0; i < n; ++i) within += std::abs(random.student_t(freedom)) < point ? 1 : 0;
    EXPECT_NEAR(static_cast<double>(within) / n, 0.95, 4.0 * std::sqrt(0.95 * 0.05 / n) + 0.0003) << freedom;
  }
}

}  // namespace
}  // namespace wainscot::simulator
