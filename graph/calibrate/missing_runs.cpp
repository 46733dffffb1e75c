#include "graph/calibrate/missing_runs.hpp"

#include <Eigen/Dense>

#include "core/errors.hpp"

namespace wainscot {

std::vector<std::string> missing_runs(const RunEquations& equations, const Eigen::VectorXd& start) {
  const RunUnknowns& unknowns = equations.unknowns;
  const int count = unknowns.count();
  const GroupValues as_stated{1.0, 1.0, 1.0};
  const LeastSquares there = evaluate_squares(run_residual_function(equations, as_stated), start);
  // With every constant known to 100 % beforehand: what the runs leave at a third of that, they do not determine.
  const Eigen::MatrixXd normal = there.jacobian.transpose() * there.jacobian;
  const Eigen::MatrixXd left_open = (normal + Eigen::MatrixXd::Identity(count, count)).inverse();
  // The unknowns are relative and held near the start to one: of a combination that runs show nothing 1 is left open,
  // of one that they show to a tenth 0.1. Between the two, their geometric mean.
  constexpr double kOpen = 0.3;
  std::vector<std::string> missing;
  Eigen::VectorXd mean = Eigen::VectorXd::Zero(count);
  mean[RunUnknowns::kLeft] = mean[RunUnknowns::kRight] = 0.5;
  const bool no_length = mean.dot(left_open * mean) > kOpen * kOpen;
  if (no_length) missing.emplace_back("a straight of 2 m with forward_m");
  for (const auto& [surface, index] : unknowns.widths) {
    Eigen::VectorXd by_scale = -mean;  // the width as a multiple of the wheels, which turns alone give
    by_scale[index] = 1.0;
    if (by_scale.dot(left_open * by_scale) > kOpen * kOpen) {
      missing.push_back("a turn on the spot on " + surface + ", both ways, with turn_deg");
    }
  }
  Eigen::VectorXd difference = Eigen::VectorXd::Zero(count);
  difference[RunUnknowns::kLeft] = -1.0;
  difference[RunUnknowns::kRight] = 1.0;
  if (!no_length && difference.dot(left_open * difference) > kOpen * kOpen) {
    missing.emplace_back("turn_deg or left_m at the end of a straight, which tells the two wheels apart");
  }
  return missing;
}

void refuse_missing_runs(const RunEquations& equations, const Eigen::VectorXd& start) {
  const std::vector<std::string> missing = missing_runs(equations, start);
  if (missing.empty()) return;
  std::string together;
  for (const std::string& what : missing) together += (together.empty() ? "" : "; ") + what;
  throw PoorData("the runs do not determine the " + std::to_string(equations.unknowns.count()) +
                 " constants (two wheels, and a width for each surface); add: " + together);
}

}  // namespace wainscot
