#include "graph/check/clock_chance.hpp"

#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "tests/graph/made_log.hpp"

namespace wainscot {
namespace {

ClockChance chance_of(const MadeLog& log) {
  const WheelSeries wheels(log.drive);
  return clock_chance(log.steps, wheels, fit_clock(log.steps, wheels));
}

TEST(ClockChance, ManyTurnsTellAnOffset) {
  MadeRobot robot;
  robot.lidar_late_s = 0.7;
  const ClockChance chance = chance_of(made_log(robot));
  EXPECT_GT(chance.turns, 8.0);
  EXPECT_GT(chance.explained, 0.999);
  EXPECT_LT(chance.elsewhere, 0.9);
  EXPECT_LT(chance.as_stated, 0.9);
  EXPECT_GT(chance.chi_squared_elsewhere, 20.0);
  EXPECT_GT(chance.chi_squared_stated, 20.0);
}

TEST(ClockChance, ClocksThatAreRightAreNotToldFromTheStatedOnes) {
  EXPECT_LT(chance_of(made_log({})).chi_squared_stated, 1.0);
}

/// A drive that stands but for one turn of its wheels, and a lidar that sees one turn at another time, and noise.
TEST(ClockChance, OneTurnIsOneHoweverManyScansSawIt) {
  MadeLog log = made_log({});
  std::mt19937_64 random(7);
  std::normal_distribution<double> noise(0.0, 0.004);
  for (LidarStride& step : log.steps) {
    step.motion.heading_rad = noise(random) + (step.begin_s > 30.0 && step.begin_s < 31.6 ? 0.15 : 0.0);
  }
  std::int64_t turned = 0;
  for (WheelCounts& row : log.drive.wheels) {
    if (row.time_s > 22.0 && row.time_s < 23.6) turned += 3;
    row.left_ticks = -turned;
    row.right_ticks = turned;
  }
  const ClockChance chance = chance_of(log);
  EXPECT_GT(chance.explained, 0.8);  // by a shift of 8 s
  EXPECT_LT(chance.turns, 2.5);
  EXPECT_LT(chance.chi_squared_elsewhere, 13.8);  // 99.9 % of two degrees of freedom
}

/// A stride now and then, with errors as large as where a robot drives a metre between two scans.
MadeLog seldom(double drift, std::uint64_t seed) {
  MadeRobot robot;
  robot.lidar_drift = drift;
  MadeLog log = made_log(robot);
  std::mt19937_64 random(seed);
  std::student_t_distribution<double> error(3.0);
  std::vector<LidarStride> kept;
  for (std::size_t i = 0; i < log.steps.size(); i += 9) {
    kept.push_back(log.steps[i]);
    kept.back().motion.heading_rad += 0.015 * error(random);
  }
  log.steps = kept;
  return log;
}

double drift_chi_squared_of(const MadeLog& log) {
  const WheelSeries wheels(log.drive);
  return drift_chi_squared(log.steps, wheels, fit_clock(log.steps, wheels));
}

TEST(ClockChance, ADriftIsToldFromTheBestFitWithoutOne) {
  MadeRobot robot;
  EXPECT_LT(drift_chi_squared_of(made_log(robot)), 1.0);
  robot.lidar_late_s = 0.4;  // an offset is no drift
  EXPECT_LT(drift_chi_squared_of(made_log(robot)), 1.0);
  robot.lidar_drift = 0.002;
  EXPECT_GT(drift_chi_squared_of(made_log(robot)), 100.0);
  EXPECT_GT(drift_chi_squared_of(seldom(0.012, 1)), 20.0);
}

TEST(ClockChance, FewLargeErrorsAreNoDrift) {
  int beyond = 0;
  for (std::uint64_t seed = 1; seed <= 40; ++seed) beyond += drift_chi_squared_of(seldom(0.0, seed)) > 10.8 ? 1 : 0;
  EXPECT_LE(beyond, 1);  // 99.9 % of one degree of freedom
}

TEST(ClockChance, NoiseIsNoTurn) {
  MadeLog log = made_log({});
  std::mt19937_64 random(7);
  std::normal_distribution<double> noise(0.0, 0.004);
  for (LidarStride& step : log.steps) step.motion.heading_rad = noise(random);
  EXPECT_LT(chance_of(log).turned_rad, 0.2);
}

}  // namespace
}  // namespace wainscot
