#include "apps/simulator/calibration_runs.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "apps/simulator/random_house.hpp"

namespace wainscot::simulator {
namespace {

std::int64_t total(const SimulatedRun& run, std::int64_t WheelCounts::*wheel) {
  return run.wheels.back().*wheel - run.wheels.front().*wheel;
}

TEST(CalibrationRuns, WithoutDefectsCountsAndTapeAgree) {
  Plan plan = random_house(3);
  plan.defects = perfect(plan.defects);
  plan.robot.counter_bits = 32;
  RunSet set;
  set.sd_m = set.sd_deg = 0.0;
  const SimulatedRuns made = simulate_runs(plan, set, 5);
  const std::size_t floors = floor_names(plan).size();
  EXPECT_EQ(made.runs.size(), floors * 9 + 12);
  EXPECT_NEAR(made.robot.drive->left_m_per_tick / made.left_m_per_tick, 1.0, 1e-5);  // six digits are written
  for (const SimulatedRun& run : made.runs) {
    const double left = made.left_m_per_tick * static_cast<double>(total(run, &WheelCounts::left_ticks));
    const double right = made.right_m_per_tick * static_cast<double>(total(run, &WheelCounts::right_ticks));
    const double turn_deg = (right - left) / made.wheels.track_width_m.at(run.floor) / kDegree_rad;
    EXPECT_NEAR(run.turn_deg, turn_deg, 0.3) << run.name;  // a tick or two
    const bool straight = run.name.rfind("straight", 0) == 0;
    if (straight) {
      EXPECT_NEAR(std::hypot(*run.forward_m, *run.left_m), 0.5 * (left + right), 0.003) << run.name;
    }
    if (straight || run.whole_path) {
      EXPECT_TRUE(run.forward_m && run.left_m) << run.name;
    } else {
      EXPECT_FALSE(run.forward_m) << run.name;
    }
  }
}

TEST(CalibrationRuns, TheSameSeedTheSameRunsAndAnotherRepetitionOtherOnes) {
  const Plan plan = random_house(4);
  const SimulatedRuns a = simulate_runs(plan, {}, 2);
  const SimulatedRuns b = simulate_runs(plan, {}, 2);
  const SimulatedRuns c = simulate_runs(plan, {}, 2, 1);
  EXPECT_EQ(a.runs.front().forward_m, b.runs.front().forward_m);
  EXPECT_NE(a.runs.front().forward_m, c.runs.front().forward_m);
  EXPECT_EQ(a.wheels.track_width_m, c.wheels.track_width_m);
}

}  // namespace
}  // namespace wainscot::simulator
