#include "graph/calibrate/equal_widths.hpp"

#include <gtest/gtest.h>

#include "tests/graph/taped_runs.hpp"

namespace wainscot {
namespace {

TEST(EqualWidths, TwoCentimetresAreToldApart) {
  TapedRuns robot;
  robot.add_usual("wood");
  robot.add_usual("carpet");
  robot.shake(1);
  const AdjustedRuns runs(robot.runs);
  const SurfaceTest test = test_surfaces(runs.equations, runs.adjusted);
  EXPECT_EQ(test.above, 1.0);
  EXPECT_GE(test.below, 4.0);
  EXPECT_GT(test.f, 10.0);
  EXPECT_LT(test.p, 0.01);
}

TEST(EqualWidths, ExactRunsOfOneWidthAreNot) {
  TapedRuns robot;
  for (const char* surface : {"wood", "tiles", "stone"}) robot.add_usual(surface);
  const AdjustedRuns runs(robot.runs);
  const SurfaceTest test = test_surfaces(runs.equations, runs.adjusted);
  EXPECT_EQ(test.above, 2.0);
  EXPECT_LT(test.f, 0.1);
  EXPECT_GT(test.p, 0.9);
}

}  // namespace
}  // namespace wainscot
