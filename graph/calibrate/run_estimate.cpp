#include "graph/calibrate/run_estimate.hpp"

#include <cmath>
#include <cstddef>
#include <limits>

#include <Eigen/Dense>

#include "core/small_samples.hpp"

namespace wainscot {

Estimate run_estimate(const RunEquations& equations, const RunAdjustment& adjusted, double value,
                      const Eigen::VectorXd& by, double confidence) {
  const Eigen::VectorXd by_row = adjusted.fit.jacobian * (adjusted.covariance * by);
  GroupValues variance{};
  for (std::size_t i = 0; i < equations.rows.size(); ++i) {
    variance[equations.rows[i].group] += std::pow(by_row[static_cast<Eigen::Index>(i)], 2);
  }
  Estimate result;
  result.value = value;
  const double sum = variance[kTurns] + variance[kWays] + variance[kPlaces];
  result.sd = std::sqrt(sum);
  double reciprocal = 0.0;
  for (const RowGroup group : kAllRowGroups) {
    reciprocal += variance[group] * variance[group] / adjusted.degrees(group);
  }
  result.degrees = reciprocal > 0.0 ? sum * sum / reciprocal : std::numeric_limits<double>::infinity();
  result.half_width = student_t_two_sided(confidence, result.degrees) * result.sd;
  return result;
}

}  // namespace wainscot
