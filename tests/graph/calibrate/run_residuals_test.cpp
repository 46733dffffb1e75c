#include "graph/calibrate/run_residuals.hpp"

#include <numbers>

#include <gtest/gtest.h>

#include "tests/graph/taped_runs.hpp"

namespace wainscot {
namespace {

constexpr double kChance = 0.05;

TEST(RunResiduals, AreWhatWasMeasuredLessWhatIsExpected) {
  TapedRuns robot;
  robot.add_usual("wood");
  robot.runs.runs[0].left_m.reset();
  const AdjustedRuns runs(robot.runs);
  const auto residuals = run_residuals(runs.equations, runs.adjusted, kChance);
  ASSERT_EQ(residuals.size(), robot.runs.runs.size());
  EXPECT_EQ(residuals[0].run, "straight wood1");
  EXPECT_NEAR(*residuals[0].forward_m, 0.0, 1e-4);
  EXPECT_FALSE(residuals[0].left_m.has_value());
  EXPECT_NEAR(*residuals[1].turn_rad, 0.0, 1e-3);
  EXPECT_FALSE(residuals[1].forward_m.has_value());
}

TEST(RunResiduals, OneTurnOffByMuchIsOddAndNamed) {
  TapedRuns robot;
  robot.add_usual("wood");
  robot.add_usual("wood");
  robot.shake(4);
  *robot.runs.runs[4].turn_rad += 9.0 * std::numbers::pi / 180.0;
  const AdjustedRuns runs(robot.runs);
  const auto residuals = run_residuals(runs.equations, runs.adjusted, kChance);
  for (std::size_t i = 0; i < residuals.size(); ++i) EXPECT_EQ(residuals[i].odd(), i == 4) << i;
  EXPECT_EQ(residuals[4].worst, "turn_deg");
}

TEST(RunResiduals, NothingChecksTheOnlyTurnOfASurface) {
  TapedRuns robot;
  robot.add_usual("wood");
  robot.add("alone", "carpet", 0.0, 360.0);
  robot.shake(5);
  const AdjustedRuns runs(robot.runs);
  const RunResidual alone = run_residuals(runs.equations, runs.adjusted, kChance).back();
  EXPECT_TRUE(alone.worst.empty());
  EXPECT_FALSE(alone.odd());
}

}  // namespace
}  // namespace wainscot
