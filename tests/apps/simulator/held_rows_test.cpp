#include "apps/simulator/held_rows.hpp"

#include <gtest/gtest.h>

#include "apps/simulator/simulate.hpp"
#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

std::vector<double> every_50_ms(int count) {
  std::vector<double> times;
  for (int i = 0; i < count; ++i) times.push_back(0.05 * i);
  return times;
}

Defects holding() {
  Defects defects = perfect(Defects());
  defects.odometry_holds_per_minute = Knob::fixed(2.0);
  defects.odometry_hold_s = Knob::uniform(2.0, 4.0);
  return defects;
}

TEST(HeldRows, WaitForSecondsAndAreThenStampedWithinTenMilliseconds) {
  const std::vector<double> times = every_50_ms(12000);  // ten minutes
  const std::vector<double> late = HeldRows(holding(), 1).stamps(times);
  ASSERT_EQ(late.size(), times.size());
  int holds = 0;
  for (std::size_t i = 1; i < late.size(); ++i) {
    ASSERT_GT(late[i], late[i - 1]);
    ASSERT_GE(late[i], times[i]);
    if (late[i] - late[i - 1] < 1.0) continue;
    ++holds;
    EXPECT_GE(late[i] - late[i - 1], 1.9);
    EXPECT_LE(late[i] - late[i - 1], 4.1);
    // All rows of two seconds at least come at once.
    std::size_t end = i;
    while (late[end + 1] - late[end] < 0.01) ++end;
    EXPECT_GE(end - i, 39U);
    EXPECT_LE(late[end] - late[i], kEmptied_s);
  }
  EXPECT_GE(holds, 10);  // two a minute, less the time of the holds themselves
  EXPECT_LE(holds, 30);
}

TEST(HeldRows, OnlyStampsChangeAndTheSameSeedHoldsTheSame) {
  Plan plan = empty_room();
  const SimulatedDrive plain = simulate(plan, 4);
  plan.defects = holding();
  plan.defects.odometry_holds_per_minute = Knob::fixed(10.0);
  const SimulatedDrive held = simulate(plan, 4);
  ASSERT_EQ(held.wheels.size(), plain.wheels.size());
  int late = 0;
  for (std::size_t i = 0; i < held.wheels.size(); ++i) {
    EXPECT_EQ(held.wheels[i].left_ticks, plain.wheels[i].left_ticks);
    EXPECT_EQ(held.wheels[i].right_ticks, plain.wheels[i].right_ticks);
    late += held.wheels[i].time_s > plain.wheels[i].time_s + 0.5 ? 1 : 0;
  }
  EXPECT_GT(late, 50);
  const SimulatedDrive again = simulate(plan, 4);
  for (std::size_t i = 0; i < held.wheels.size(); ++i) ASSERT_EQ(again.wheels[i].time_s, held.wheels[i].time_s);
}

TEST(HeldRows, NothingIsHeldWithoutTheKnob) {
  EXPECT_FALSE(HeldRows(perfect(Defects()), 1).any());
  std::vector<TimedPose> none;
  HeldRows(holding(), 1).hold(none);
  EXPECT_TRUE(none.empty());
}

}  // namespace
}  // namespace wainscot::simulator
