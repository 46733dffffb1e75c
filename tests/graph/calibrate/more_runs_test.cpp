#include "graph/calibrate/more_runs.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "graph/calibrate/imagined_run.hpp"
#include "tests/graph/taped_runs.hpp"

namespace wainscot {
namespace {

/// A run of the kind that more_runs() names.
CalibrationRun run_of_kind(const std::string& kind, const WheelGeometry& geometry) {
  const double quarter = 0.5 * std::numbers::pi;
  CalibrationRun run = kind.starts_with("straights") ? imagined_run({2.0}, 0.0, geometry)
                       : kind.starts_with("turns")   ? imagined_run({0.0}, 8.0 * quarter, geometry)
                                                     : imagined_run({2.0, 2.0, 2.0, 2.0}, quarter, geometry);
  run.surface = "wood";
  return run;
}

TEST(MoreRuns, AsManyAsItSaysHalveTheUncertainty) {
  TapedRuns robot;
  robot.add_usual("wood");
  robot.shake(1);
  const AdjustedRuns runs(robot.runs);
  const MoreRuns more = more_runs(runs.equations, runs.adjusted);
  const Eigen::VectorXd& x = runs.adjusted.unknowns();
  Eigen::Index largest = 0;
  const Eigen::VectorXd relative = runs.adjusted.covariance.diagonal().cwiseSqrt().cwiseQuotient(x.cwiseAbs());
  EXPECT_NEAR(more.relative_sd, relative.maxCoeff(&largest), 1e-12);
  const char* const names[] = {"left_m_per_tick", "right_m_per_tick", "track_width_m on wood"};
  EXPECT_EQ(more.constant, names[largest]);
  ASSERT_GT(more.count, 1);

  const auto variance_with = [&](int count) {
    CalibrationRuns further = robot.runs;
    const CalibrationRun run = run_of_kind(more.kind, runs.equations.geometry(x, 0));
    for (int i = 0; i < count; ++i) further.runs.push_back(run);
    const RunEquations equations = run_equations(further, runs.equations.unknowns, {0.003, 0.0087}, x);
    const Eigen::MatrixXd jacobian =
        evaluate_squares(run_residual_function(equations, runs.adjusted.scatter), x).jacobian;
    return Eigen::MatrixXd((jacobian.transpose() * jacobian).inverse())(largest, largest);
  };
  const double now = runs.adjusted.covariance(largest, largest);
  EXPECT_NEAR(variance_with(more.count) / now, 0.25, 0.05);
  EXPECT_GT(variance_with(more.count / 2) / now, 0.25);
}

}  // namespace
}  // namespace wainscot
