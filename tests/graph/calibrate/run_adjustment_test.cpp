#include "graph/calibrate/run_adjustment.hpp"

#include <gtest/gtest.h>

#include "tests/graph/taped_runs.hpp"

namespace wainscot {
namespace {

TEST(RunAdjustment, FindsTheTruthOfRunsWithoutError) {
  TapedRuns robot;
  robot.add_usual("wood");
  const AdjustedRuns runs(robot.runs);
  const WheelGeometry found = runs.equations.geometry(runs.adjusted.unknowns(), 0);
  EXPECT_NEAR(found.left_m_per_tick / robot.left, 1.0, 1e-4);
  EXPECT_NEAR(found.right_m_per_tick / robot.right, 1.0, 1e-4);
  EXPECT_NEAR(found.track_width_m, 0.31, 1e-4);
}

TEST(RunAdjustment, LeveragesAndSurplusAddUp) {
  TapedRuns robot;
  robot.add_usual("wood");
  robot.add_usual("carpet");
  robot.shake(1);
  const AdjustedRuns runs(robot.runs);
  // Each unknown takes one measurement: the trace of the projection is their number.
  EXPECT_NEAR(runs.adjusted.leverages.sum(), 4.0, 1e-6);
  const GroupValues& surplus = runs.adjusted.surplus;
  EXPECT_NEAR(surplus[kTurns] + surplus[kWays] + surplus[kPlaces],
              static_cast<double>(runs.equations.rows.size()) - 4.0, 1e-6);
}

TEST(RunAdjustment, TheRunsSayHowMuchTurnsScatter) {
  double sum = 0.0;
  constexpr int kSeeds = 20;
  for (int seed = 1; seed <= kSeeds; ++seed) {
    TapedRuns robot;
    robot.runs.robot.motion_noise = {1e-5, 1e-5};
    for (int i = 0; i < 4; ++i) robot.add_usual("wood");
    std::mt19937_64 random(static_cast<std::uint64_t>(seed));
    std::normal_distribution<double> normal;
    for (CalibrationRun& run : robot.runs.runs) *run.turn_rad += 3.0 * 0.0087 * normal(random);  // thrice as stated
    sum += AdjustedRuns(robot.runs).adjusted.scatter[kTurns];
  }
  EXPECT_NEAR(sum / kSeeds, 3.0, 0.3);
}

TEST(RunAdjustment, FewMeasurementsCountAsFour) {
  RunAdjustment adjusted;
  adjusted.surplus = {1.5, 7.0, 0.0};
  EXPECT_EQ(adjusted.degrees(kTurns), 4.0);
  EXPECT_EQ(adjusted.degrees(kWays), 7.0);
}

}  // namespace
}  // namespace wainscot
