#include "graph/calibrate/run_calibration.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include <Eigen/Core>

#include "graph/calibrate/missing_runs.hpp"
#include "graph/calibrate/run_adjustment.hpp"
#include "graph/calibrate/run_equations.hpp"
#include "graph/calibrate/run_unknowns.hpp"
#include "graph/calibrate/simple_runs.hpp"

namespace wainscot {
namespace {

RunCalibration told(const RunEquations& equations, const RunAdjustment& adjusted,
                    const RunCalibrationOptions& options) {
  const RunUnknowns& unknowns = equations.unknowns;
  const Eigen::VectorXd& x = adjusted.unknowns();
  const auto estimate = [&](double value, const Eigen::VectorXd& by) {
    return run_estimate(equations, adjusted, value, by, options.confidence);
  };
  const auto one = [&](double stated, int index) {
    return estimate(stated * x[index], unknowns.unit(index, std::abs(stated)));
  };
  RunCalibration result;
  result.left_m_per_tick = one(unknowns.stated.left_m_per_tick, RunUnknowns::kLeft);
  result.right_m_per_tick = one(unknowns.stated.right_m_per_tick, RunUnknowns::kRight);
  const double width_m = unknowns.stated.track_width_m;
  Eigen::VectorXd mean = Eigen::VectorXd::Zero(unknowns.count());
  for (const auto& [surface, index] : unknowns.widths) {
    const auto is_here = [&name = surface](const CalibrationRun& run) { return run.surface == name; };
    const auto runs = std::count_if(equations.runs.runs.begin(), equations.runs.runs.end(), is_here);
    result.surfaces.push_back({surface, one(width_m, index), static_cast<int>(runs)});
    mean[index] = width_m / static_cast<double>(unknowns.widths.size());
  }
  result.mean_width_m = estimate(mean.dot(x), mean);
  Eigen::MatrixXd by(unknowns.count(), 3);
  by << unknowns.unit(RunUnknowns::kLeft, unknowns.stated.left_m_per_tick),
      unknowns.unit(RunUnknowns::kRight, unknowns.stated.right_m_per_tick), mean;
  result.covariance = by.transpose() * adjusted.covariance * by;
  result.turn_scatter = adjusted.scatter[kTurns];
  result.way_scatter = adjusted.scatter[kWays];
  result.place_scatter = adjusted.scatter[kPlaces];
  result.surplus = static_cast<double>(equations.rows.size()) - unknowns.count();
  result.residuals = run_residuals(equations, adjusted, options.odd_chance);
  if (unknowns.widths.size() > 1) result.surface_test = test_surfaces(equations, adjusted);
  result.expected = expected_errors(equations, adjusted);
  result.more = more_runs(equations, adjusted);
  return result;
}

}  // namespace

double RunCalibration::mix_variance_m2() const {
  const auto n = static_cast<double>(surfaces.size());
  if (surfaces.size() < 2) return 0.0;
  double between_m2 = 0.0;
  for (const SurfaceWidth& surface : surfaces) {
    between_m2 += std::pow(surface.width_m.value - mean_width_m.value, 2) / (n - 1.0);
    between_m2 -= surface.width_m.sd * surface.width_m.sd / n;  // what the widths' own errors make of it
  }
  // Shares that are uniform on the simplex have a mean square of 2 / (n (n + 1)) each (Dirichlet's distribution).
  return std::max(0.0, between_m2) * (2.0 / (n + 1.0) - 1.0 / n);
}

double RunCalibration::width_m(const std::string& surface) const {
  for (const SurfaceWidth& known : surfaces) {
    if (known.surface == surface) return known.width_m.value;
  }
  throw std::out_of_range("no run was on the surface " + surface);
}

RunCalibration calibrate_runs(const CalibrationRuns& runs, const RunCalibrationOptions& options) {
  const TapeSd tape{options.sd_m, options.sd_rad};
  const SimpleRuns simple = simple_runs(runs, tape);
  refuse_contradictions(runs, simple);
  const RunUnknowns unknowns = run_unknowns(runs);
  const Eigen::VectorXd start = start_values(unknowns, simple);
  RunEquations equations = run_equations(runs, unknowns, tape, start);
  refuse_missing_runs(equations, start);
  // The start has both wheels off by the same factor; what a run's noise does depends on how it really bent.
  const Eigen::VectorXd about = adjust_runs(equations, start).unknowns();
  equations = run_equations(runs, unknowns, tape, about);
  return told(equations, adjust_runs(equations, about), options);
}

}  // namespace wainscot
