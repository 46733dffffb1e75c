#include "graph/calibrate/expected_errors.hpp"

#include <cmath>
#include <numbers>

#include <Eigen/Core>

#include "graph/calibrate/imagined_run.hpp"

namespace wainscot {
namespace {

constexpr double kQuarter = 90.0 * (std::numbers::pi / 180.0);  // of a turn

/// Derivatives of a run's end (x, y, heading) by the unknowns at `x`, central differences.
Eigen::MatrixXd derivatives_of_end(const CalibrationRun& run, const RunUnknowns& unknowns, const Eigen::VectorXd& x,
                                   int width) {
  Eigen::MatrixXd derivatives = Eigen::MatrixXd::Zero(3, unknowns.count());
  // Relative: the unknowns are about one, so that a central difference errs by its square, 1e-10.
  constexpr double kStep = 1e-5;
  for (const int unknown : {RunUnknowns::kLeft, RunUnknowns::kRight, width}) {
    const auto moved = [&](double step) {
      Eigen::VectorXd changed = x;
      changed[unknown] += step;
      return end_of_run(run.wheels, unknowns.geometry(changed, width));
    };
    const Pose2 more = moved(kStep);
    const Pose2 less = moved(-kStep);
    derivatives.col(unknown) =
        Eigen::Vector3d(more.x_m - less.x_m, more.y_m - less.y_m, more.heading_rad - less.heading_rad) / (2.0 * kStep);
  }
  return derivatives;
}

/// Of straights and turns (imagined_run()) on the surface whose width is the unknown `width`.
ExpectedError expected_error(const RunEquations& equations, const RunAdjustment& adjusted, const std::string& name,
                             const std::vector<double>& ways_m, double turn_rad, int width) {
  const Eigen::VectorXd& x = adjusted.unknowns();
  const WheelGeometry geometry = equations.unknowns.geometry(x, width);
  const CalibrationRun run = imagined_run(ways_m, turn_rad, geometry);
  const Eigen::MatrixXd derivatives = derivatives_of_end(run, equations.unknowns, x, width);
  const Eigen::Matrix3d covariance = derivatives * adjusted.covariance * derivatives.transpose();
  const Eigen::Matrix3d scatter = scatter_of_end(run.wheels, geometry, equations.noise);
  ExpectedError error;
  error.drive = name;
  error.along_m = std::sqrt(covariance(0, 0));
  error.across_m = std::sqrt(covariance(1, 1));
  error.turn_rad = std::sqrt(covariance(2, 2));
  const RowGroup lengths = turn_rad == 0.0 ? kWays : kPlaces;
  error.scatter_m = adjusted.scatter[lengths] * std::sqrt(scatter(0, 0) + scatter(1, 1));
  error.scatter_rad = adjusted.scatter[kTurns] * std::sqrt(scatter(2, 2));
  return error;
}

}  // namespace

std::vector<ExpectedError> expected_errors(const RunEquations& equations, const RunAdjustment& adjusted) {
  const auto& widths = equations.unknowns.widths;
  std::vector<ExpectedError> errors;
  errors.push_back(expected_error(equations, adjusted, "2 m straight ahead", {2.0}, 0.0, widths.begin()->second));
  for (const auto& [surface, width] : widths) {
    errors.push_back(expected_error(equations, adjusted, "a turn of 90° on " + surface, {0.0}, kQuarter, width));
  }
  for (const auto& [surface, width] : widths) {
    errors.push_back(expected_error(equations, adjusted, "10 m with four turns of 90° on " + surface,
                                    {2.5, 2.5, 2.5, 2.5}, kQuarter, width));
  }
  return errors;
}

}  // namespace wainscot
