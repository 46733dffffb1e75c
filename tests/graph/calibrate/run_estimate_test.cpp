#include "graph/calibrate/run_estimate.hpp"

#include <cmath>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "core/small_samples.hpp"
#include "tests/graph/taped_runs.hpp"

namespace wainscot {
namespace {

AdjustedRuns shaken_runs() {
  TapedRuns robot;
  robot.add_usual("wood");
  robot.shake(2);
  return AdjustedRuns(robot.runs);
}

TEST(RunEstimate, TheDeviationIsThatOfTheCovariance) {
  const AdjustedRuns runs = shaken_runs();
  const Eigen::Vector3d by(0.3, -0.2, 1.7);
  const Estimate estimate = run_estimate(runs.equations, runs.adjusted, 5.0, by, 0.95);
  EXPECT_EQ(estimate.value, 5.0);
  EXPECT_NEAR(estimate.sd, std::sqrt(by.dot(runs.adjusted.covariance * by)), 1e-9);
  EXPECT_NEAR(estimate.half_width, student_t_two_sided(0.95, estimate.degrees) * estimate.sd, 1e-12);
}

// G.4.1 of JCGM 100:2008: the effective degrees of freedom lie between the least of a part's and the sum of all.
TEST(RunEstimate, DegreesOfFreedomLieBetweenThoseOfTheGroups) {
  const AdjustedRuns runs = shaken_runs();
  const Estimate estimate = run_estimate(runs.equations, runs.adjusted, 0.0, Eigen::Vector3d(1.0, 1.0, 1.0), 0.95);
  double least = 1e9;
  double sum = 0.0;
  for (const RowGroup group : kAllRowGroups) {
    least = std::min(least, runs.adjusted.degrees(group));
    sum += runs.adjusted.degrees(group);
  }
  EXPECT_GE(estimate.degrees, least);
  EXPECT_LE(estimate.degrees, sum);
}

TEST(RunEstimate, MoreConfidenceIsAWiderInterval) {
  const AdjustedRuns runs = shaken_runs();
  const Eigen::Vector3d by(1.0, 0.0, 0.0);
  const Estimate usual = run_estimate(runs.equations, runs.adjusted, 0.0, by, 0.95);
  EXPECT_LT(usual.half_width, run_estimate(runs.equations, runs.adjusted, 0.0, by, 0.99).half_width);
  EXPECT_NEAR(run_estimate(runs.equations, runs.adjusted, 0.0, 2.0 * by, 0.95).sd, 2.0 * usual.sd, 1e-12);
}

}  // namespace
}  // namespace wainscot
