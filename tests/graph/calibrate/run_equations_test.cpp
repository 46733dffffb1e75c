#include "graph/calibrate/run_equations.hpp"

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/taped_runs.hpp"

namespace wainscot {
namespace {

TEST(RunEquations, ARowForEachMeasurement) {
  TapedRuns robot;
  robot.add("straight", "wood", 2.0, 0.0);
  robot.add("turn", "wood", 0.0, 360.0);
  robot.add("bend", "wood", 1.0, 60.0).left_m.reset();
  const RunUnknowns unknowns = run_unknowns(robot.runs);
  const RunEquations equations = run_equations(robot.runs, unknowns, kPencilMarks, Eigen::Vector3d::Ones());
  ASSERT_EQ(equations.rows.size(), 6U);
  EXPECT_EQ(equations.rows[0].component, kEndTurn);
  EXPECT_EQ(equations.rows[1].component, kEndLeft);
  EXPECT_EQ(equations.rows[2].component, kEndForward);
  EXPECT_EQ(equations.rows[2].group, kWays);
  EXPECT_EQ(equations.rows[3].run, 1U);
  EXPECT_EQ(equations.rows[3].group, kTurns);
  EXPECT_EQ(equations.rows[5].component, kEndForward);
  EXPECT_EQ(equations.rows[5].group, kPlaces);  // a bend's length depends on its headings
}

TEST(RunEquations, WeightsDecorrelate) {
  TapedRuns robot;
  const CalibrationRun run = robot.add("straight", "wood", 2.0, 0.0);
  const WheelGeometry geometry{robot.left, robot.right, 0.31};
  const OdometryNoise noise;
  const Eigen::MatrixXd weight = end_weight(run, geometry, noise, kPencilMarks);
  const Eigen::MatrixXd whitened = weight * covariance_of_end(run, geometry, noise, kPencilMarks) * weight.transpose();
  EXPECT_LT((whitened - Eigen::Matrix3d::Identity()).cwiseAbs().maxCoeff(), 1e-9);
}

TEST(RunEquations, NothingIsLeftAtTheTruth) {
  TapedRuns robot;
  robot.add_usual("wood");
  const RunUnknowns unknowns = run_unknowns(robot.runs);
  const Eigen::Vector3d truth(robot.left / 1.2e-4, robot.right / 1.2e-4, 0.31 / 0.25);
  const RunEquations equations = run_equations(robot.runs, unknowns, kPencilMarks, truth);
  EXPECT_LT(run_residual_function(equations, {1.0, 1.0, 1.0})(truth).cwiseAbs().maxCoeff(), 0.05);
}

TEST(RunEquations, ScatterDividesItsGroup) {
  TapedRuns robot;
  robot.add_usual("wood");
  const RunEquations equations =
      run_equations(robot.runs, run_unknowns(robot.runs), kPencilMarks, Eigen::Vector3d::Ones());
  const Eigen::VectorXd x = Eigen::Vector3d(1.0, 0.9, 1.1);
  const Eigen::VectorXd plain = run_residual_function(equations, {1.0, 1.0, 1.0})(x);
  const Eigen::VectorXd divided = run_residual_function(equations, {2.0, 4.0, 8.0})(x);
  for (std::size_t i = 0; i < equations.rows.size(); ++i) {
    const double factor = equations.rows[i].group == kTurns ? 2.0 : equations.rows[i].group == kWays ? 4.0 : 8.0;
    const auto k = static_cast<Eigen::Index>(i);
    EXPECT_DOUBLE_EQ(factor * divided[k], plain[k]) << i;
  }
}

}  // namespace
}  // namespace wainscot
