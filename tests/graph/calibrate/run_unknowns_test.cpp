#include "graph/calibrate/run_unknowns.hpp"

#include <gtest/gtest.h>

#include "tests/graph/taped_runs.hpp"

namespace wainscot {
namespace {

TEST(RunUnknowns, AWidthForEachSurfaceInTheOrderOfNames) {
  TapedRuns robot;
  robot.add("one", "wood", 2.0, 0.0);
  robot.add("two", "carpet", 2.0, 0.0);
  robot.add("three", "wood", 0.0, 360.0);
  const RunUnknowns unknowns = run_unknowns(robot.runs);
  EXPECT_EQ(unknowns.count(), 4);
  EXPECT_EQ(unknowns.widths, (std::map<std::string, int>{{"carpet", 2}, {"wood", 3}}));
}

TEST(RunUnknowns, AreFactorsOfWhatIsStated) {
  TapedRuns robot;
  robot.add_usual("wood");
  const RunUnknowns unknowns = run_unknowns(robot.runs);
  const WheelGeometry geometry = unknowns.geometry(Eigen::Vector3d(1.0, 0.5, 2.0), 2);
  EXPECT_DOUBLE_EQ(geometry.left_m_per_tick, 1.2e-4);
  EXPECT_DOUBLE_EQ(geometry.right_m_per_tick, 0.6e-4);
  EXPECT_DOUBLE_EQ(geometry.track_width_m, 0.5);
  EXPECT_EQ(unknowns.unit(1, 7.0), Eigen::VectorXd(Eigen::Vector3d(0.0, 7.0, 0.0)));
}

}  // namespace
}  // namespace wainscot
