#include "graph/check/dead_counter.hpp"

#include <cstdint>

#include <gtest/gtest.h>

#include "tests/graph/made_log.hpp"

namespace wainscot {
namespace {

/// The right counter stays as it is from one time to another, and goes on from there.
Drive with_a_stop(double from_s, double to_s) {
  Drive drive = made_log({}).drive;
  std::int64_t lost = 0;
  for (std::size_t i = 1; i < drive.wheels.size(); ++i) {
    WheelCounts& row = drive.wheels[i];
    row.right_ticks -= lost;
    if (row.time_s < from_s || row.time_s > to_s) continue;
    lost += row.right_ticks - drive.wheels[i - 1].right_ticks;
    row.right_ticks = drive.wheels[i - 1].right_ticks;
  }
  return drive;
}

TEST(DeadCounter, CountersThatCountAreNotDead) {
  EXPECT_FALSE(dead_counter(made_log({}).drive));
  EXPECT_FALSE(dead_counter(Drive{}));
}

TEST(DeadCounter, OneThatNeverCounts) {
  const auto found = dead_counter(with_a_stop(0.0, 100.0));
  ASSERT_TRUE(found);
  EXPECT_EQ(found->fault, Fault::dead_counter);
  EXPECT_EQ(found->what, "the right counter does not count");
}

TEST(DeadCounter, OneThatStopsHalfWay) {
  const auto found = dead_counter(with_a_stop(30.0, 100.0));
  ASSERT_TRUE(found);
  EXPECT_EQ(found->what, "the right counter stops counting");
  EXPECT_NE(found->figure.find("s on, while the other wheel rolled"), std::string::npos) << found->figure;
  EXPECT_NEAR(*found->time_s, 30.0, 0.1);
  const auto loose = dead_counter(with_a_stop(20.0, 45.0));
  ASSERT_TRUE(loose);
  EXPECT_NE(loose->figure.find("to 45.0 s"), std::string::npos) << loose->figure;
}

// 0.3 m between the wheels: two turns round a standing wheel are 3.8 m, at 0.3 m/s some 12 s.
TEST(DeadCounter, AWheelMayStandWhileTheRobotTurnsRoundIt) { EXPECT_FALSE(dead_counter(with_a_stop(20.0, 26.0))); }

TEST(DeadCounter, AWrongTickConstantMakesNoFaultOfATurn) {
  Drive drive = with_a_stop(20.0, 22.0);
  drive.robot.drive->left_m_per_tick *= 1000.0;
  EXPECT_FALSE(dead_counter(drive));
}

}  // namespace
}  // namespace wainscot
