#include "graph/calibrate/square_runs.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

constexpr double kLeft = 1.003e-4;  // true
constexpr double kRight = 0.998e-4;
constexpr double kWidth = 0.315;

/// A polygon that is driven truly, its counts, and its measured end.
CalibrationRun polygon(int corners, double side_m, int way) {
  CalibrationRun run;
  run.name = "polygon";
  run.surface = "wood";
  run.whole_path = true;
  double left = 0.0;
  double right = 0.0;
  run.wheels.push_back({});
  const auto roll = [&](double left_m, double right_m) {
    for (int i = 0; i < 10; ++i) {
      left += left_m / 10.0;
      right += right_m / 10.0;
      run.wheels.push_back({0.0, std::llround(left / kLeft), std::llround(right / kRight)});
    }
  };
  for (int i = 0; i < corners; ++i) {
    roll(side_m, side_m);
    const double around = way * std::numbers::pi / corners * kWidth;
    roll(-around, around);
  }
  run.forward_m = run.left_m = 0.0;
  run.turn_rad = way * 2.0 * std::numbers::pi;
  return run;
}

CalibrationRuns runs_of(std::vector<CalibrationRun> all) {
  CalibrationRuns runs;
  DriveConstants stated;
  stated.left_m_per_tick = stated.right_m_per_tick = 1.0e-4;
  stated.track_width_m = 0.31;
  runs.robot.drive = stated;
  runs.runs = std::move(all);
  return runs;
}

TEST(SquareRuns, ASquareIsTakenForOneAndNothingElse) {
  const DriveConstants drive = *runs_of({}).robot.drive;
  EXPECT_TRUE(is_square(polygon(4, 2.0, 1), drive));
  EXPECT_TRUE(is_square(polygon(4, 4.0, -1), drive));
  EXPECT_FALSE(is_square(polygon(3, 2.0, 1), drive));
  EXPECT_FALSE(is_square(polygon(6, 2.0, 1), drive));
  EXPECT_FALSE(is_square(polygon(4, 0.2, 1), drive));
  CalibrationRun unmeasured = polygon(4, 2.0, 1);
  unmeasured.forward_m.reset();
  EXPECT_FALSE(is_square(unmeasured, drive));
}

TEST(SquareRuns, FindsTheConstantsAndBringsTheErrorDown) {
  const CalibrationRuns runs =
      runs_of({polygon(4, 2.0, 1), polygon(4, 2.0, -1), polygon(4, 2.0, 1), polygon(4, 2.0, -1), polygon(3, 2.0, 1)});
  const auto test = test_squares(runs);
  ASSERT_TRUE(test);
  EXPECT_EQ(test->clockwise, 2);
  EXPECT_EQ(test->counter_clockwise, 2);
  EXPECT_NEAR(test->side_m, 2.0, 0.01);
  EXPECT_NEAR(test->corrected.track_width_m, kWidth, 0.0005);
  EXPECT_NEAR(test->corrected.right_m_per_tick / test->corrected.left_m_per_tick, kRight / kLeft, 0.0003);
  EXPECT_GT(test->found.largest_systematic_m, 10.0 * largest_systematic_m(runs, *test, test->corrected));
  EXPECT_NEAR(largest_systematic_m(runs, *test, {kLeft, kRight, kWidth}), 0.0, 0.001);
}

TEST(SquareRuns, OneWayAloneIsNoTest) {
  EXPECT_FALSE(test_squares(runs_of({polygon(4, 2.0, 1), polygon(4, 2.0, 1)})));
  EXPECT_FALSE(test_squares(runs_of({polygon(3, 2.0, 1), polygon(3, 2.0, -1)})));
}

}  // namespace
}  // namespace wainscot
