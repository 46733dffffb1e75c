#include "graph/calibrate/missing_runs.hpp"

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/graph/taped_runs.hpp"

namespace wainscot {
namespace {

std::vector<std::string> missing_of(const TapedRuns& robot) {
  const RunUnknowns unknowns = run_unknowns(robot.runs);
  const TapeSd tape{0.003, 0.0087};
  const Eigen::VectorXd start = start_values(unknowns, simple_runs(robot.runs, tape));
  return missing_runs(run_equations(robot.runs, unknowns, tape, start), start);
}

TEST(MissingRuns, NoneOfTheUsualSet) {
  TapedRuns robot;
  robot.add_usual("wood");
  robot.add_usual("carpet");
  EXPECT_TRUE(missing_of(robot).empty());
}

TEST(MissingRuns, ATurnForEachSurfaceThatHasNone) {
  TapedRuns robot;
  robot.add("one", "wood", 2.0, 0.0);
  robot.add("two", "carpet", 2.0, 0.0);
  EXPECT_EQ(missing_of(robot), (std::vector<std::string>{"a turn on the spot on carpet, both ways, with turn_deg",
                                                         "a turn on the spot on wood, both ways, with turn_deg"}));
}

TEST(MissingRuns, AStraightWhereOnlyTurnsAreThere) {
  TapedRuns robot;
  robot.add("one", "wood", 0.0, 360.0);
  robot.add("two", "wood", 0.0, -360.0);
  EXPECT_EQ(missing_of(robot), std::vector<std::string>{"a straight of 2 m with forward_m"});
}

TEST(MissingRuns, AreRefusedInOneSentence) {
  TapedRuns robot;
  robot.add("one", "wood", 2.0, 0.0);
  const RunUnknowns unknowns = run_unknowns(robot.runs);
  const Eigen::VectorXd start = Eigen::Vector3d::Ones();
  try {
    refuse_missing_runs(run_equations(robot.runs, unknowns, {0.003, 0.0087}, start), start);
    FAIL() << "no exception";
  } catch (const PoorData& poor) {
    EXPECT_STREQ(poor.what(),
                 "the runs do not determine the 3 constants (two wheels, and a width for each surface); add: a turn on "
                 "the spot on wood, both ways, with turn_deg");
  }
}

}  // namespace
}  // namespace wainscot
