#include "core/rolled_way.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <random>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

struct Counted {
  std::vector<WheelCounts> rows;
  std::function<double(double)> true_way_m;
};

/// What a counter of `tick_m` shows of a way, `rate_hz` times a second for so long; half a tick was on it at the begin.
Counted counted(const std::function<double(double)>& way_m, double tick_m, double rate_hz, double duration_s) {
  Counted result{{}, [way_m, tick_m](double t) { return way_m(t) + 0.5 * tick_m; }};
  for (int i = 0; i <= static_cast<int>(std::lround(duration_s * rate_hz)); ++i) {
    const double time_s = i / rate_hz;
    result.rows.push_back({time_s, static_cast<std::int64_t>(std::floor(result.true_way_m(time_s) / tick_m)), 0});
  }
  return result;
}

std::vector<RolledWay> ways_of(const Counted& c, double tick_m) {
  return rolled_ways(c.rows, &WheelCounts::left_ticks, tick_m);
}

/// Stands, starts with 0.5 m/s^2, goes 0.3 m/s, stops and goes back, again and again: a way in closed form.
double to_and_fro_m(double time_s) {
  constexpr double kPeriodS = 9.2;  // 1 at rest, 0.6 speeding up, 2.4 steady, 0.6 slowing down; then the same way back
  const double t = std::fmod(time_s, kPeriodS);
  const auto one_way = [](double s) {
    if (s < 1.0) return 0.0;
    if (s < 1.6) return 0.25 * (s - 1.0) * (s - 1.0);
    if (s < 4.0) return 0.09 + 0.3 * (s - 1.6);
    return 0.9 - 0.25 * (4.6 - s) * (4.6 - s);
  };
  return t < 4.6 ? one_way(t) : 0.9 - one_way(t - 4.6);
}

// Even over a tick: the standard deviation is tick / sqrt(12).
TEST(RolledWay, ACounterAtRestLeavesATickOpen) {
  const Counted c = counted([](double) { return 0.0; }, 0.01, 50.0, 20.0);
  const std::vector<RolledWay> ways = ways_of(c, 0.01);
  for (const RolledWay& at : ways) {
    EXPECT_NEAR(at.way_m, 0.005, 1e-12);
    EXPECT_NEAR(at.speed_m_s, 0.0, 1e-12);
    EXPECT_NEAR(std::sqrt(at.variance_m2), 0.01 / std::sqrt(12.0), 1e-4);
  }
}

TEST(RolledWay, AtSteadySpeedWayAndSpeedAreFoundToAFractionOfATick) {
  const Counted c = counted([](double t) { return 0.3 * t; }, 0.01, 50.0, 20.0);
  const std::vector<RolledWay> ways = ways_of(c, 0.01);
  for (std::size_t i = 25; i + 25 < ways.size(); ++i) {  // half a second from both ends
    ASSERT_NEAR(ways[i].way_m, c.true_way_m(ways[i].time_s), 0.0015) << i;
    ASSERT_NEAR(ways[i].speed_m_s, 0.3, 0.06) << i;
    ASSERT_LT(std::sqrt(ways[i].variance_m2), 0.0025) << i;
  }
}

// A counter that runs backwards reads floor(-way / tick): the same motion, mirrored.
TEST(RolledWay, ACounterThatRunsBackwardsShowsTheSameMotion) {
  const Counted backwards = counted([](double t) { return -to_and_fro_m(t); }, 0.01, 50.0, 30.0);
  const std::vector<RolledWay> ways = rolled_ways(backwards.rows, &WheelCounts::left_ticks, -0.01);
  for (const RolledWay& at : ways) ASSERT_NEAR(at.way_m - ways[0].way_m, to_and_fro_m(at.time_s), 0.01) << at.time_s;
}

TEST(RolledWay, IsNeverOutsideTheTickThatWasCounted) {
  std::mt19937 random(1);
  std::uniform_int_distribution<int> step(-3, 5);
  std::vector<WheelCounts> rows{{0.0, 0, 0}};
  for (int i = 1; i < 2000; ++i) rows.push_back({0.02 * i, rows.back().left_ticks + step(random), 0});
  const std::vector<RolledWay> ways = rolled_ways(rows, &WheelCounts::left_ticks, 0.004);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    ASSERT_GE(ways[i].way_m, 0.004 * static_cast<double>(rows[i].left_ticks) - 1e-12);
    ASSERT_LE(ways[i].way_m, 0.004 * static_cast<double>(rows[i].left_ticks + 1) + 1e-12);
    ASSERT_GT(ways[i].variance_m2, 0.0);
    ASSERT_LE(ways[i].variance_m2, 0.004 * 0.004 / 12.0 + 1e-15);
  }
}

/// Root mean square over all moments, m, and the share of moments at which two standard deviations hold the error.
struct Errors {
  double smooth_m = 0.0;
  double as_counted_m = 0.0;  ///< the middle of the counted tick, with even motion between the rows
  double held = 0.0;
};

Errors errors_over_phases(double tick_m, double rate_hz) {
  Errors sum;
  int moments = 0;
  for (int phase = 0; phase < 7; ++phase) {  // where in a tick the wheel begins
    const Counted c =
        counted([=](double t) { return to_and_fro_m(t + 0.37 * phase) + phase * tick_m / 7.0; }, tick_m, rate_hz, 40.0);
    const std::vector<RolledWay> ways = ways_of(c, tick_m);
    for (std::size_t i = 1; i < ways.size(); ++i) {
      const auto middle = [&](std::size_t k) { return tick_m * (static_cast<double>(c.rows[k].left_ticks) + 0.5); };
      for (const double u : {0.0, 0.25, 0.5, 0.75}) {
        const double time_s = std::lerp(ways[i - 1].time_s, ways[i].time_s, u);
        const RolledWay at = rolled_between(ways[i - 1], ways[i], time_s);
        const double off = at.way_m - c.true_way_m(time_s);
        sum.smooth_m += off * off;
        sum.as_counted_m += std::pow(std::lerp(middle(i - 1), middle(i), u) - c.true_way_m(time_s), 2);
        sum.held += off * off <= 4.0 * at.variance_m2 ? 1.0 : 0.0;
        ++moments;
      }
    }
  }
  return {std::sqrt(sum.smooth_m / moments), std::sqrt(sum.as_counted_m / moments), sum.held / moments};
}

TEST(RolledWay, IsNearerToTheTruthThanTheCountsAndKnowsHowNear) {
  const Errors often = errors_over_phases(0.01, 50.0);
  EXPECT_LT(often.smooth_m, 0.75 * often.as_counted_m);
  EXPECT_GT(often.held, 0.93);
  const Errors coarse_and_seldom = errors_over_phases(0.01, 4.0);
  EXPECT_LT(coarse_and_seldom.smooth_m, coarse_and_seldom.as_counted_m);
  EXPECT_GT(coarse_and_seldom.held, 0.93);
  const Errors seldom = errors_over_phases(0.0002, 4.0);
  EXPECT_LT(seldom.smooth_m, 0.4 * seldom.as_counted_m) << "the speed changes between two rows";
  EXPECT_GT(seldom.held, 0.93);
}

TEST(RolledWay, BetweenTwoRowsIsTheCubicOfBothWaysAndSpeeds) {
  // 2 + 3 t - 4 t^2 + 0.5 t^3, from 1 s to 3 s.
  const auto way = [](double t) { return 2.0 + 3.0 * t - 4.0 * t * t + 0.5 * t * t * t; };
  const auto speed = [](double t) { return 3.0 - 8.0 * t + 1.5 * t * t; };
  const RolledWay from{1.0, way(1.0), speed(1.0), 1e-6};
  const RolledWay to{3.0, way(3.0), speed(3.0), 4e-6};
  for (const double t : {1.0, 1.3, 2.0, 2.9, 3.0}) {
    const RolledWay at = rolled_between(from, to, t);
    EXPECT_NEAR(at.way_m, way(t), 1e-12) << t;
    EXPECT_NEAR(at.speed_m_s, speed(t), 1e-12) << t;
  }
  EXPECT_NEAR(rolled_between(from, to, 3.0).variance_m2, 4e-6, 1e-15);
  EXPECT_GT(rolled_between(from, to, 2.0).variance_m2, 2.5e-6);
}

TEST(RolledWay, TwoRowsAtOneMomentAreNoHarm) {
  const std::vector<WheelCounts> rows{{0.0, 0, 0}, {0.1, 3, 0}, {0.1, 3, 0}, {0.2, 6, 0}};
  for (const RolledWay& at : rolled_ways(rows, &WheelCounts::left_ticks, 0.01)) {
    EXPECT_TRUE(std::isfinite(at.way_m) && std::isfinite(at.speed_m_s) && at.variance_m2 > 0.0);
  }
  EXPECT_TRUE(rolled_ways({}, &WheelCounts::left_ticks, 0.01).empty());
}

TEST(CountsAreCoarse, ByTheTickAndByTheRate) {
  const auto coarse = [](double tick_m, double rate_hz) {
    DriveConstants constants;
    constants.left_m_per_tick = -tick_m;  // one of them runs backwards
    constants.right_m_per_tick = tick_m;
    return counts_are_coarse(counted([](double t) { return 0.3 * t; }, tick_m, rate_hz, 30.0).rows, constants);
  };
  EXPECT_FALSE(coarse(0.0005, 50.0));
  EXPECT_FALSE(coarse(0.001, 20.0));
  EXPECT_TRUE(coarse(0.002, 50.0));
  EXPECT_TRUE(coarse(0.0005, 10.0));
  EXPECT_FALSE(coarse(0.01, 1.0)) << "a robot starts and stops between two rows";
}

}  // namespace
}  // namespace wainscot
