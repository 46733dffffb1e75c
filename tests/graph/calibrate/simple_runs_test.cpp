#include "graph/calibrate/simple_runs.hpp"

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/graph/taped_runs.hpp"

namespace wainscot {
namespace {

TEST(SimpleRuns, StraightsAndTurnsAreSortedByKind) {
  TapedRuns robot;
  robot.add("straight", "wood", 2.0, 0.0);
  robot.add("turn", "carpet", 0.0, 360.0);
  // By the stated constants it turns by 37 degrees: too much for a straight, too little for a turn.
  robot.add("bend", "wood", 1.0, 25.0);
  const SimpleRuns kinds = simple_runs(robot.runs, kPencilMarks);
  ASSERT_EQ(kinds.size(), 2U);
  ASSERT_EQ(kinds.at("straight").size(), 1U);
  EXPECT_EQ(kinds.at("straight")[0].run, 0U);
  EXPECT_NEAR(kinds.at("straight")[0].ratio, 1e-4 / 1.2e-4, 1e-3);
  EXPECT_NEAR(kinds.at("straight")[0].sd, 0.003 / 2.4, 1e-5);  // over the way by the stated constants
  ASSERT_EQ(kinds.at("turn on carpet").size(), 1U);
  EXPECT_EQ(kinds.at("turn on carpet")[0].run, 1U);
}

TEST(SimpleRuns, AWholePathIsNoStraight) {
  TapedRuns robot;
  CalibrationRun run = robot.add("one", "wood", 2.0, 0.0);
  EXPECT_TRUE(is_straight(run, *robot.runs.robot.drive));
  run.whole_path = true;
  EXPECT_FALSE(is_straight(run, *robot.runs.robot.drive));
  EXPECT_FALSE(is_straight(robot.add("short", "wood", 0.2, 0.0), *robot.runs.robot.drive));
}

// By the stated constants it turned by 47 degrees.
TEST(SimpleRuns, AStraightIsOneWhateverTheWheelsCount) {
  TapedRuns robot;
  robot.left = 0.95e-4;
  CalibrationRun run = robot.add("one", "wood", 3.0, 0.0);
  const DriveConstants& stated = *robot.runs.robot.drive;
  EXPECT_TRUE(is_straight(run, stated));
  run.turn_rad.reset();
  EXPECT_TRUE(is_straight(run, stated));
  run.left_m.reset();
  EXPECT_FALSE(is_straight(run, stated));
}

TEST(SimpleRuns, TwoThatContradictAreRefusedUnlessAThirdDecides) {
  TapedRuns robot;
  robot.add("first", "wood", 0.0, 360.0);
  robot.add("second", "wood", 0.0, 360.0).turn_rad = 4.0;
  EXPECT_THROW(refuse_contradictions(robot.runs, simple_runs(robot.runs, kPencilMarks)), PoorData);
  robot.add("third", "wood", 0.0, 360.0);
  EXPECT_NO_THROW(refuse_contradictions(robot.runs, simple_runs(robot.runs, kPencilMarks)));
}

TEST(SimpleRuns, TheStartIsNearTheTruth) {
  TapedRuns robot;
  robot.add_usual("wood");
  robot.add_usual("carpet");
  const RunUnknowns unknowns = run_unknowns(robot.runs);
  const Eigen::VectorXd start = start_values(unknowns, simple_runs(robot.runs, kPencilMarks));
  const WheelGeometry wood = unknowns.geometry(start, unknowns.widths.at("wood"));
  EXPECT_NEAR(wood.left_m_per_tick / robot.left, 1.0, 0.01);
  EXPECT_NEAR(wood.right_m_per_tick / robot.right, 1.0, 0.01);
  EXPECT_NEAR(wood.track_width_m, 0.31, 0.005);
  EXPECT_NEAR(unknowns.geometry(start, unknowns.widths.at("carpet")).track_width_m, 0.33, 0.005);
}

TEST(SimpleRuns, WithoutThemTheStartIsAsStated) {
  TapedRuns robot;
  robot.add("bend", "wood", 1.0, 30.0);
  const RunUnknowns unknowns = run_unknowns(robot.runs);
  EXPECT_EQ(start_values(unknowns, {}), Eigen::VectorXd::Ones(3));
}

}  // namespace
}  // namespace wainscot
