#include "graph/calibrate/run_calibration.hpp"

#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "core/angles.hpp"
#include "core/errors.hpp"
#include "tests/graph/taped_runs.hpp"

namespace wainscot {
namespace {

/// Why the runs are refused; empty: they are not.
std::string refusal_of(const TapedRuns& robot) {
  try {
    calibrate_runs(robot.runs);
  } catch (const PoorData& error) {
    return error.what();
  }
  return "";
}

TEST(RunCalibration, FindsTheConstantsOfRunsWithoutError) {
  TapedRuns robot;
  robot.add_usual("wood");
  robot.add_usual("carpet");
  const RunCalibration found = calibrate_runs(robot.runs);
  EXPECT_NEAR(found.left_m_per_tick.value / robot.left, 1.0, 1e-4);
  EXPECT_NEAR(found.right_m_per_tick.value / robot.right, 1.0, 1e-4);
  ASSERT_EQ(found.surfaces.size(), 2U);
  EXPECT_EQ(found.surfaces[0].surface, "carpet");
  EXPECT_NEAR(found.surfaces[0].width_m.value, 0.33, 1e-4);
  EXPECT_NEAR(found.width_m("wood"), 0.31, 1e-4);
  EXPECT_NEAR(found.mean_width_m.value, 0.32, 1e-4);
  ASSERT_TRUE(found.surface_test);
  EXPECT_LT(found.surface_test->p, 0.001);
  for (const RunResidual& residual : found.residuals) EXPECT_FALSE(residual.odd()) << residual.run;
}

TEST(RunCalibration, WheelsThatDifferByFivePerCent) {
  constexpr int kRobots = 200;
  int held = 0;
  for (int seed = 0; seed < kRobots; ++seed) {
    TapedRuns robot;
    robot.left = 0.95e-4;
    robot.right = 1e-4;
    for (int i = 0; i < 3; ++i) robot.add("straight " + std::to_string(i), "wood", 3.0, 0.0);
    robot.add_usual("wood");
    if (seed == 0) {
      const RunCalibration exact = calibrate_runs(robot.runs);
      EXPECT_NEAR(exact.left_m_per_tick.value / robot.left, 1.0, 1e-4);
      EXPECT_NEAR(exact.right_m_per_tick.value / robot.right, 1.0, 1e-4);
      EXPECT_NEAR(exact.mean_width_m.value, 0.31, 1e-4);
    }
    robot.shake(seed);
    const RunCalibration found = calibrate_runs(robot.runs);
    held += std::abs(found.left_m_per_tick.value - robot.left) <= found.left_m_per_tick.half_width ? 1 : 0;
    held += std::abs(found.right_m_per_tick.value - robot.right) <= found.right_m_per_tick.half_width ? 1 : 0;
    held += std::abs(found.mean_width_m.value - 0.31) <= found.mean_width_m.half_width ? 1 : 0;
  }
  // 95 % less four standard deviations of a count of which the three of a robot may all err together; wider ones of a
  // few runs may hold more.
  const double share = held / (3.0 * kRobots);
  EXPECT_GT(share, 0.95 - 4.0 * std::sqrt(0.95 * 0.05 / kRobots));
}

// The sds of the estimates are those of the covariance; what the wheels have in common is in it too.
TEST(RunCalibration, TheCovarianceIsThatOfTheEstimates) {
  TapedRuns robot;
  robot.add_usual("wood");
  robot.add_usual("carpet");
  const RunCalibration found = calibrate_runs(robot.runs);
  EXPECT_NEAR(std::sqrt(found.covariance(0, 0)) / found.left_m_per_tick.sd, 1.0, 1e-6);
  EXPECT_NEAR(std::sqrt(found.covariance(1, 1)) / found.right_m_per_tick.sd, 1.0, 1e-6);
  EXPECT_NEAR(std::sqrt(found.covariance(2, 2)) / found.mean_width_m.sd, 1.0, 1e-6);
  EXPECT_DOUBLE_EQ(found.covariance(0, 1), found.covariance(1, 0));
}

// Of two floors a share that is uniform in 0..1 has a standard deviation of 1 / sqrt(12), so a mix of 0.31 m and 0.33 m
// one of 5.8 mm.
TEST(RunCalibration, AMixOfFloorsIsAsUncertainAsTheirWidthsDiffer) {
  TapedRuns robot;
  robot.add_usual("wood");
  TapedRuns two = robot;
  two.add_usual("carpet");
  EXPECT_EQ(calibrate_runs(robot.runs).mix_variance_m2(), 0.0);
  const RunCalibration found = calibrate_runs(two.runs);
  EXPECT_NEAR(std::sqrt(found.mix_variance_m2()), 0.02 / std::sqrt(12.0), 0.0005);
}

TEST(RunCalibration, ACounterThatRunsBackwardsHasANegativeConstant) {
  TapedRuns robot;
  robot.left = -robot.left;
  robot.runs.robot.drive->left_m_per_tick = -1.2e-4;
  robot.add_usual("wood");
  const RunCalibration found = calibrate_runs(robot.runs);
  EXPECT_NEAR(found.left_m_per_tick.value / robot.left, 1.0, 1e-4);
  EXPECT_GT(found.left_m_per_tick.sd, 0.0);
}

TEST(RunCalibration, StatesIntervalsThatHoldTheTruth) {
  int held_left = 0;
  int held_width = 0;
  constexpr int kSeeds = 200;
  for (int seed = 1; seed <= kSeeds; ++seed) {
    TapedRuns robot;
    robot.runs.robot.motion_noise = {1e-5, 1e-5};
    robot.add_usual("wood");
    robot.add_usual("carpet");
    robot.shake(seed);
    const RunCalibration found = calibrate_runs(robot.runs);
    held_left += std::abs(found.left_m_per_tick.value - robot.left) < found.left_m_per_tick.half_width ? 1 : 0;
    held_width += std::abs(found.width_m("wood") - 0.31) < found.surfaces[1].width_m.half_width ? 1 : 0;
  }
  EXPECT_GE(held_left, kSeeds * 90 / 100);
  EXPECT_GE(held_width, kSeeds * 90 / 100);
  EXPECT_LE(held_left, kSeeds * 99 / 100);
  EXPECT_LE(held_width, kSeeds * 99 / 100);
}

TEST(RunCalibration, SurfacesThatAreOneAreRarelyToldApart) {
  int told = 0;
  for (int seed = 1; seed <= 100; ++seed) {
    TapedRuns robot;
    robot.add_usual("wood");
    robot.add_usual("tiles");  // the same width
    robot.shake(seed);
    told += calibrate_runs(robot.runs).surface_test->p < 0.05 ? 1 : 0;
  }
  EXPECT_LE(told, 12);
}

TEST(RunCalibration, PointsOutTheRunThatIsOff) {
  TapedRuns robot;
  robot.add_usual("wood");
  robot.add_usual("wood");
  robot.shake(3);
  *robot.runs.runs[1].turn_rad += 9.0 * kDegree;
  const RunCalibration found = calibrate_runs(robot.runs);
  EXPECT_TRUE(found.residuals[1].odd());
  EXPECT_EQ(found.residuals[1].worst, "turn_deg");
  EXPECT_NEAR(*found.residuals[1].turn_rad / kDegree, 8.0, 2.5);
  for (std::size_t i = 2; i < found.residuals.size(); ++i) EXPECT_FALSE(found.residuals[i].odd());
}

TEST(RunCalibration, NamesTwoRunsThatContradictEachOther) {
  TapedRuns robot;
  robot.add_usual("wood");
  robot.runs.runs.erase(robot.runs.runs.begin() + 3);  // one straight is left
  robot.add("other straight", "wood", 2.0, 0.0).forward_m = 1.5;
  EXPECT_NE(refusal_of(robot).find("other straight"), std::string::npos) << refusal_of(robot);
  EXPECT_NE(refusal_of(robot).find("straight wood1"), std::string::npos);
  robot.add("third straight", "wood", 2.0, 0.0);
  EXPECT_EQ(refusal_of(robot), "");  // two against one
}

TEST(RunCalibration, SaysWhichRunsAreMissing) {
  TapedRuns straights;
  straights.add("one", "wood", 2.0, 0.0);
  EXPECT_NE(refusal_of(straights).find("a turn on the spot on wood"), std::string::npos) << refusal_of(straights);
  EXPECT_EQ(refusal_of(straights).find("a straight of 2 m"), std::string::npos);

  TapedRuns turns;
  turns.add("one", "wood", 0.0, 360.0);
  turns.add("two", "wood", 0.0, -360.0);
  EXPECT_NE(refusal_of(turns).find("a straight of 2 m"), std::string::npos) << refusal_of(turns);

  TapedRuns wheels;
  wheels.add("one", "wood", 0.0, 360.0);
  wheels.add("two", "wood", 0.0, -360.0);
  CalibrationRun& straight = wheels.add("three", "wood", 2.0, 0.0);
  straight.turn_rad.reset();
  straight.left_m.reset();
  // The two turns do tell the wheels apart where both ways are exact, but not well enough here.
  EXPECT_NE(refusal_of(wheels).find("tells the two wheels apart"), std::string::npos) << refusal_of(wheels);

  TapedRuns floors;
  floors.add_usual("wood");
  floors.add("on carpet", "carpet", 2.0, 0.0);
  EXPECT_NE(refusal_of(floors).find("a turn on the spot on carpet"), std::string::npos) << refusal_of(floors);
}

TEST(RunCalibration, MoreRunsOfTheKindItNamesHalveTheUncertainty) {
  TapedRuns robot;
  robot.add_usual("wood");
  robot.shake(1);
  const RunCalibration found = calibrate_runs(robot.runs);
  EXPECT_GT(found.more.count, 1);
  EXPECT_LT(found.more.count, 100);
  EXPECT_GT(found.more.relative_sd, 0.0);
  ASSERT_EQ(found.expected.size(), 3U);  // 2 m, 90 degrees, 10 m
  EXPECT_GT(found.expected[2].along_m, found.expected[0].along_m);
}

}  // namespace
}  // namespace wainscot
