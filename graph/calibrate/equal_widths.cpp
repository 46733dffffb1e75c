#include "graph/calibrate/equal_widths.hpp"

#include <algorithm>
#include <limits>

#include <Eigen/Dense>

#include "core/small_samples.hpp"
#include "graph/calibrate/run_estimate.hpp"

namespace wainscot {

SurfaceTest test_surfaces(const RunEquations& equations, const RunAdjustment& adjusted) {
  constexpr double kConfidence = 0.95;  // any: of intervals that are not used
  const RunUnknowns& unknowns = equations.unknowns;
  const auto count = static_cast<Eigen::Index>(unknowns.widths.size());
  const int first = unknowns.widths.begin()->second;
  Eigen::MatrixXd against_first = Eigen::MatrixXd::Zero(count - 1, unknowns.count());
  for (Eigen::Index i = 1; i < count; ++i) {
    against_first(i - 1, first) = -1.0;
    against_first(i - 1, first + i) = 1.0;
  }
  const Eigen::VectorXd difference = against_first * adjusted.unknowns();
  const Eigen::MatrixXd covariance = against_first * adjusted.covariance * against_first.transpose();
  SurfaceTest test;
  test.above = static_cast<double>(count - 1);
  test.below = std::numeric_limits<double>::infinity();
  for (Eigen::Index i = 0; i + 1 < count; ++i) {
    const Estimate one = run_estimate(equations, adjusted, 0.0, against_first.row(i).transpose(), kConfidence);
    test.below = std::min(test.below, one.degrees);
  }
  test.f = difference.dot(covariance.ldlt().solve(difference)) / test.above;
  test.p = fisher_f_tail(test.f, test.above, test.below);
  return test;
}

}  // namespace wainscot
