#include "graph/calibrate/more_runs.hpp"

#include <cmath>
#include <vector>

#include <Eigen/Dense>

#include "core/angles.hpp"
#include "graph/calibrate/imagined_run.hpp"

namespace wainscot {
namespace {

/// What one such run on the surface whose width is the unknown `width` would add to the normal matrix, with the scatter
/// that was found.
Eigen::MatrixXd information_of(const CalibrationRun& run, const RunEquations& equations, const RunAdjustment& adjusted,
                               int width) {
  const Eigen::VectorXd& x = adjusted.unknowns();
  const WheelGeometry geometry = equations.unknowns.geometry(x, width);
  const Eigen::MatrixXd weight = end_weight(run, geometry, equations.noise, equations.tape);
  const bool straight = std::abs(end_of_run(run.wheels, geometry).heading_rad) < 0.1;
  const ResidualFunction ends = [&](const Eigen::VectorXd& at) -> Eigen::VectorXd {
    const Pose2 end = end_of_run(run.wheels, equations.unknowns.geometry(at, width));
    Eigen::VectorXd values = weight * Eigen::Vector3d(end.heading_rad, end.y_m, end.x_m);
    values[kEndTurn] /= adjusted.scatter[kTurns];
    values[kEndLeft] /= adjusted.scatter[kPlaces];
    values[kEndForward] /= adjusted.scatter[straight ? kWays : kPlaces];
    return values;
  };
  const Eigen::MatrixXd jacobian = evaluate_squares(ends, x).jacobian;
  return jacobian.transpose() * jacobian;
}

/// How many times `one` has to be added until an unknown's standard uncertainty is half; 0: more than 1000 times.
int times_for_half(const Eigen::MatrixXd& one, const RunAdjustment& adjusted, int unknown) {
  const Eigen::MatrixXd now = adjusted.covariance.inverse();
  const auto variance = [&](int count) { return (now + count * one).inverse()(unknown, unknown); };
  constexpr int kMost = 1000;  // more than anyone will do: then nothing is advised
  const double wanted = 0.25 * adjusted.covariance(unknown, unknown);
  if (variance(kMost) > wanted) return 0;
  int low = 0;
  int high = kMost;
  while (high - low > 1) {
    const int middle = (low + high) / 2;
    (variance(middle) > wanted ? low : high) = middle;
  }
  return high;
}

std::string name_of(int unknown, const RunUnknowns& unknowns) {
  if (unknown == RunUnknowns::kLeft) return "left_m_per_tick";
  if (unknown == RunUnknowns::kRight) return "right_m_per_tick";
  for (const auto& [surface, width] : unknowns.widths) {
    if (width == unknown) return "track_width_m on " + surface;
  }
  return "";
}

}  // namespace

MoreRuns more_runs(const RunEquations& equations, const RunAdjustment& adjusted) {
  const RunUnknowns& unknowns = equations.unknowns;
  MoreRuns more;
  int largest = 0;
  for (int i = 0; i < unknowns.count(); ++i) {
    const double relative = std::sqrt(adjusted.covariance(i, i)) / std::abs(adjusted.unknowns()[i]);
    if (relative <= more.relative_sd) continue;
    more.relative_sd = relative;
    largest = i;
  }
  more.constant = name_of(largest, unknowns);
  const auto consider = [&](const std::string& kind, const std::vector<double>& ways_m, double turn_rad, int width) {
    const CalibrationRun run = imagined_run(ways_m, turn_rad, unknowns.geometry(adjusted.unknowns(), width));
    const int count = times_for_half(information_of(run, equations, adjusted, width), adjusted, largest);
    if (count == 0 || (more.count != 0 && count >= more.count)) return;
    more.count = count;
    more.kind = kind;
  };
  consider("straights of 2 m with forward_m, left_m and turn_deg", {2.0}, 0.0, unknowns.widths.begin()->second);
  for (const auto& [surface, width] : unknowns.widths) {
    consider("turns of 720° on the spot on " + surface + ", half of them each way", {0.0}, 720.0 * kDegree, width);
    consider("squares of 2 m on " + surface + ", half of them each way", {2.0, 2.0, 2.0, 2.0}, 90.0 * kDegree, width);
  }
  return more;
}

}  // namespace wainscot
