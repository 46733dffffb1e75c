#include "graph/calibrate/run_calibration.hpp"

#include <cmath>
#include <numbers>
#include <random>

#include <gtest/gtest.h>

#include "core/errors.hpp"

namespace wainscot {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;

/// A robot with its true constants that drives runs and measures them, without error unless told.
class Robots {
 public:
  Robots() {
    DriveConstants stated;
    stated.left_m_per_tick = 1.2e-4;  // a fifth too large
    stated.right_m_per_tick = 1.2e-4;
    stated.track_width_m = 0.25;  // a sixth too small
    runs.robot.drive = stated;
    runs.robot.motion_noise = {0.002, 0.01};
  }

  double left = 1.001e-4;
  double right = 0.999e-4;
  double width(const std::string& surface) const { return surface == "carpet" ? 0.33 : 0.31; }

  CalibrationRun& add(const std::string& name, const std::string& surface, double way_m, double turn_deg) {
    const double around = 0.5 * turn_deg * kDegree * width(surface);
    CalibrationRun run;
    run.name = name;
    run.surface = surface;
    run.wheels = {{0.0, 0, 0}, {1.0, std::llround((way_m - around) / left), std::llround((way_m + around) / right)}};
    run.turn_rad = turn_deg * kDegree;
    if (way_m != 0.0) {
      run.forward_m = way_m * (turn_deg == 0.0 ? 1.0 : std::sin(turn_deg * kDegree) / (turn_deg * kDegree));
      run.left_m = turn_deg == 0.0 ? 0.0 : way_m * (1.0 - std::cos(turn_deg * kDegree)) / (turn_deg * kDegree);
    }
    runs.runs.push_back(run);
    return runs.runs.back();
  }

  void add_usual(const std::string& surface) {
    for (int i = 1; i <= 2; ++i) {
      add("straight " + surface + std::to_string(i), surface, 2.0, 1.0 - i);
      add("left " + surface + std::to_string(i), surface, 0.0, 360.0 * i);
      add("right " + surface + std::to_string(i), surface, 0.0, -360.0 * i + 3.0);
    }
  }

  /// Measurements with errors of 3 mm and half a degree, the alignment at the start included: as they are stated.
  void shake(int seed) {
    std::mt19937_64 random(static_cast<std::uint64_t>(seed));
    std::normal_distribution<double> normal;
    for (CalibrationRun& run : runs.runs) {
      const double alignment = 0.5 * kDegree * normal(random);
      if (run.left_m) *run.left_m += 0.003 * normal(random) - alignment * run.forward_m.value_or(0.0);
      if (run.forward_m) *run.forward_m += 0.003 * normal(random);
      if (run.turn_rad) *run.turn_rad += 0.5 * kDegree * normal(random);
    }
  }

  std::string refusal() const {
    try {
      calibrate_runs(runs);
    } catch (const PoorData& error) {
      return error.what();
    }
    return "";
  }

  CalibrationRuns runs;
};

TEST(RunCalibration, FindsTheConstantsOfRunsWithoutError) {
  Robots robot;
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

TEST(RunCalibration, ACounterThatRunsBackwardsHasANegativeConstant) {
  Robots robot;
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
    Robots robot;
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
    Robots robot;
    robot.add_usual("wood");
    robot.add_usual("tiles");  // the same width
    robot.shake(seed);
    told += calibrate_runs(robot.runs).surface_test->p < 0.05 ? 1 : 0;
  }
  EXPECT_LE(told, 12);
}

TEST(RunCalibration, PointsOutTheRunThatIsOff) {
  Robots robot;
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
  Robots robot;
  robot.add_usual("wood");
  robot.runs.runs.erase(robot.runs.runs.begin() + 3);  // one straight is left
  robot.add("other straight", "wood", 2.0, 0.0).forward_m = 1.5;
  EXPECT_NE(robot.refusal().find("other straight"), std::string::npos) << robot.refusal();
  EXPECT_NE(robot.refusal().find("straight wood1"), std::string::npos);
  robot.add("third straight", "wood", 2.0, 0.0);
  EXPECT_EQ(robot.refusal(), "");  // two against one
}

TEST(RunCalibration, SaysWhichRunsAreMissing) {
  Robots straights;
  straights.add("one", "wood", 2.0, 0.0);
  EXPECT_NE(straights.refusal().find("a turn on the spot on wood"), std::string::npos) << straights.refusal();
  EXPECT_EQ(straights.refusal().find("a straight of 2 m"), std::string::npos);

  Robots turns;
  turns.add("one", "wood", 0.0, 360.0);
  turns.add("two", "wood", 0.0, -360.0);
  EXPECT_NE(turns.refusal().find("a straight of 2 m"), std::string::npos) << turns.refusal();

  Robots wheels;
  wheels.add("one", "wood", 0.0, 360.0);
  wheels.add("two", "wood", 0.0, -360.0);
  CalibrationRun& straight = wheels.add("three", "wood", 2.0, 0.0);
  straight.turn_rad.reset();
  straight.left_m.reset();
  // The two turns do tell the wheels apart where both ways are exact, but not well enough here.
  EXPECT_NE(wheels.refusal().find("tells the two wheels apart"), std::string::npos) << wheels.refusal();

  Robots floors;
  floors.add_usual("wood");
  floors.add("on carpet", "carpet", 2.0, 0.0);
  EXPECT_NE(floors.refusal().find("a turn on the spot on carpet"), std::string::npos) << floors.refusal();
}

TEST(RunCalibration, MoreRunsOfTheKindItNamesHalveTheUncertainty) {
  Robots robot;
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
