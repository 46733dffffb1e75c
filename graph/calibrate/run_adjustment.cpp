#include "graph/calibrate/run_adjustment.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include <Eigen/Dense>

namespace wainscot {
namespace {

// What robot.yaml and the tape state counts as if it came from so many runs. Chosen by hand on simulated homes whose
// numbers were not kept.
constexpr double kFewestDegrees = 4.0;

}  // namespace

double RunAdjustment::degrees(RowGroup group) const { return std::max(kFewestDegrees, surplus[group]); }

RunAdjustment adjust_runs(const RunEquations& equations, const Eigen::VectorXd& start) {
  constexpr int kRounds = 6;  // the scatter's factors change by less than a per cent after three
  RunAdjustment found;
  Eigen::VectorXd x = start;
  for (int round = 0; round < kRounds; ++round) {
    found.fit = minimise_squares(run_residual_function(equations, found.scatter), x);
    x = found.fit.unknowns;
    const Eigen::MatrixXd& jacobian = found.fit.jacobian;
    found.covariance = (jacobian.transpose() * jacobian).inverse();
    found.leverages = (jacobian * found.covariance * jacobian.transpose()).diagonal();
    found.surplus = {};
    GroupValues squares{};
    for (std::size_t i = 0; i < equations.rows.size(); ++i) {
      const auto k = static_cast<Eigen::Index>(i);
      const RowGroup group = equations.rows[i].group;
      found.surplus[group] += 1.0 - found.leverages[k];
      squares[group] += std::pow(found.fit.residuals[k] * found.scatter[group], 2);
    }
    if (round + 1 == kRounds) break;
    for (const RowGroup group : kAllRowGroups) {
      const double stated = std::max(0.0, kFewestDegrees - found.surplus[group]);
      found.scatter[group] = std::sqrt(std::max(1e-6, (stated + squares[group]) / (stated + found.surplus[group])));
    }
  }
  return found;
}

}  // namespace wainscot
