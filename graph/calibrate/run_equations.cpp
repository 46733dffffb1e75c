#include "graph/calibrate/run_equations.hpp"

#include <Eigen/Dense>

#include "graph/calibrate/simple_runs.hpp"

namespace wainscot {
namespace {

std::vector<MeasuredRow> measured_rows(const CalibrationRuns& runs) {
  std::vector<MeasuredRow> rows;
  for (std::size_t i = 0; i < runs.runs.size(); ++i) {
    const CalibrationRun& run = runs.runs[i];
    const RowGroup forward = is_straight(run, *runs.robot.drive) ? kWays : kPlaces;
    if (run.turn_rad) rows.push_back({i, kEndTurn, kTurns});
    if (run.left_m) rows.push_back({i, kEndLeft, kPlaces});
    if (run.forward_m) rows.push_back({i, kEndForward, forward});
  }
  return rows;
}

/// Of one run's measured components, weighted.
Eigen::VectorXd differences(const RunEquations& equations, const Eigen::VectorXd& x, std::size_t run) {
  const CalibrationRun& r = equations.runs.runs[run];
  const Pose2 end = end_of_run(r.wheels, equations.geometry(x, run));
  Eigen::VectorXd values(equations.weights[run].rows());
  Eigen::Index next = 0;
  if (r.turn_rad) values[next++] = *r.turn_rad - end.heading_rad;
  if (r.left_m) values[next++] = *r.left_m - end.y_m;
  if (r.forward_m) values[next++] = *r.forward_m - end.x_m;
  return equations.weights[run] * values;
}

}  // namespace

WheelGeometry RunEquations::geometry(const Eigen::VectorXd& x, std::size_t run) const {
  return unknowns.geometry(x, unknowns.widths.at(runs.runs[run].surface));
}

Eigen::MatrixXd end_weight(const CalibrationRun& run, const WheelGeometry& geometry, const OdometryNoise& noise,
                           const TapeSd& tape) {
  const Eigen::Matrix3d all = covariance_of_end(run, geometry, noise, tape);
  std::vector<int> measured;
  if (run.turn_rad) measured.push_back(kEndTurn);
  if (run.left_m) measured.push_back(kEndLeft);
  if (run.forward_m) measured.push_back(kEndForward);
  const auto size = static_cast<Eigen::Index>(measured.size());
  Eigen::MatrixXd chosen(size, size);
  for (Eigen::Index r = 0; r < size; ++r) {
    for (Eigen::Index c = 0; c < size; ++c) {
      chosen(r, c) = all(measured[static_cast<std::size_t>(r)], measured[static_cast<std::size_t>(c)]);
    }
  }
  return Eigen::MatrixXd(chosen.llt().matrixL()).inverse();
}

RunEquations run_equations(const CalibrationRuns& runs, const RunUnknowns& unknowns, const TapeSd& tape,
                           const Eigen::VectorXd& start) {
  RunEquations equations{runs, unknowns, odometry_noise(runs.robot), tape, measured_rows(runs), {}};
  for (std::size_t i = 0; i < runs.runs.size(); ++i) {
    equations.weights.push_back(end_weight(runs.runs[i], equations.geometry(start, i), equations.noise, tape));
  }
  return equations;
}

ResidualFunction run_residual_function(const RunEquations& equations, const GroupValues& scatter) {
  return [&equations, scatter](const Eigen::VectorXd& x) {
    const std::vector<MeasuredRow>& rows = equations.rows;
    Eigen::VectorXd all(static_cast<Eigen::Index>(rows.size()));
    Eigen::Index next = 0;
    for (std::size_t i = 0; i < equations.weights.size(); ++i) {
      const Eigen::VectorXd own = differences(equations, x, i);
      all.segment(next, own.size()) = own;
      next += own.size();
    }
    for (std::size_t i = 0; i < rows.size(); ++i) all[static_cast<Eigen::Index>(i)] /= scatter[rows[i].group];
    return all;
  };
}

}  // namespace wainscot
