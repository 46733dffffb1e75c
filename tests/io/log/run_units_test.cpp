#include "io/log/run_units.hpp"

#include <cmath>
#include <optional>

#include <gtest/gtest.h>

#include "core/angles.hpp"

namespace wainscot {
namespace {

/// Runs on wheels of 0.1 mm a tick, 0.3 m apart.
class RunTable {
 public:
  RunTable() {
    runs.robot.drive = DriveConstants{};
    runs.robot.drive->left_m_per_tick = runs.robot.drive->right_m_per_tick = 1e-4;
    runs.robot.drive->track_width_m = 0.3;
  }
  RunTable& add(std::optional<double> forward_m, std::optional<double> left_m, std::optional<double> turn_deg,
                double left_rolled_m, double right_rolled_m) {
    CalibrationRun run;
    run.forward_m = forward_m;
    run.left_m = left_m;
    if (turn_deg) run.turn_rad = *turn_deg * kDegree;
    run.wheels = {{0.0, 0, 0}, {1.0, std::llround(1e4 * left_rolled_m), std::llround(1e4 * right_rolled_m)}};
    runs.runs.push_back(run);
    return *this;
  }
  RunTable& straight(double forward_m, double rolled_m = 2.0) { return add(forward_m, {}, 0.0, rolled_m, rolled_m); }
  /// On the spot, counted as a whole turn.
  RunTable& spin(double turn_deg) { return add({}, {}, turn_deg, -0.3 * kHalf, 0.3 * kHalf); }

  CalibrationRuns runs;

 private:
  static constexpr double kHalf = 3.14159265358979;
};

/// "warned" or "refused" and of which run, or "" where there is one doubt more or none.
std::string doubt_of(const RunTable& table) {
  const std::vector<RunDoubt> doubts = doubted_units(table.runs);
  if (doubts.size() != 1) return doubts.empty() ? "none" : "many";
  return (doubts[0].refused ? "refused " : "warned ") + std::to_string(doubts[0].run);
}

TEST(RunUnits, GoodRunsHaveNoDoubt) {
  EXPECT_EQ(doubt_of(RunTable().straight(2.01).straight(1.97).spin(355.0).spin(-3.0 + 360.0)), "none");
  // Wheels that differ by 5 % of what robot.yaml says: by it this one turned by 21 degrees.
  EXPECT_EQ(doubt_of(RunTable().add(2.2, 0.01, 0.3, 2.2, 2.31)), "none");
}

TEST(RunUnits, RadiansAreToldByAllTurnsOnTheSpot) {
  const RunTable radians = RunTable().spin(6.28).spin(6.30);
  const std::vector<RunDoubt> doubts = doubted_units(radians.runs);
  ASSERT_EQ(doubts.size(), 2U);
  EXPECT_TRUE(doubts[0].refused);
  EXPECT_NE(doubts[0].what.find("write degrees, not radians"), std::string::npos) << doubts[0].what;
  // One among others that are in degrees: a robot that stuck turns so little, too.
  EXPECT_EQ(doubt_of(RunTable().spin(360.0).spin(6.28).spin(358.0)), "warned 1");
}

TEST(RunUnits, FurtherThanTheWheelsIsRefusedWhereOtherRunsAgree) {
  EXPECT_EQ(doubt_of(RunTable().straight(20.5)), "warned 0");
  EXPECT_EQ(doubt_of(RunTable().straight(2.0).straight(20.5).straight(2.0)), "refused 1");
  EXPECT_EQ(doubt_of(RunTable().straight(-2.0)), "warned 0");
  EXPECT_EQ(doubt_of(RunTable().spin(360.0).spin(-360.0).spin(360.0)), "refused 1");
  EXPECT_EQ(doubt_of(RunTable().spin(-360.0)), "warned 0");
  EXPECT_EQ(doubt_of(RunTable().spin(3600.0)), "warned 0");
  // Less far than the wheels: it slipped.
  EXPECT_EQ(doubt_of(RunTable().straight(2.0).straight(0.4).straight(2.0)), "warned 1");
}

TEST(RunUnits, ThirtyTimesTheWayIsAnotherUnit) {
  EXPECT_EQ(doubt_of(RunTable().straight(2000.0)), "refused 0");
  EXPECT_EQ(doubt_of(RunTable().straight(78.7)), "refused 0");  // inches
  EXPECT_EQ(doubt_of(RunTable().straight(60.0, 60.0)), "none");
  EXPECT_EQ(doubt_of(RunTable().add(2.0, 300.0, {}, 2.0, 2.0)), "refused 0");
  EXPECT_EQ(doubt_of(RunTable().add(2.0, 30.0, {}, 2.0, 2.0)), "warned 0");
}

}  // namespace
}  // namespace wainscot
