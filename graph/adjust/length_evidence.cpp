#include "graph/adjust/length_evidence.hpp"

#include <Eigen/Dense>

namespace wainscot {

double LengthEvidence::cost(const ConstantVector& change) const {
  return half_squares + change.dot(0.5 * information * change - pull);
}

LengthEvidence length_evidence(const LengthEquations& equations, double range_offset_variance_m2) {
  LengthEvidence evidence;
  if (equations.wanted.size() == 0) return evidence;
  const Eigen::LLT<Eigen::MatrixXd> factor(equations.covariance);
  const Eigen::MatrixX2d& by = equations.by_scale_and_offset;
  const Eigen::Matrix2d information = by.transpose() * factor.solve(by);
  const Eigen::VectorXd weighted = factor.solve(equations.wanted);
  static_assert(kRangeOffset == kRangeScale + 1, "the two stand side by side");
  evidence.information.block<2, 2>(kRangeScale, kRangeScale) = information;
  evidence.pull.segment<2>(kRangeScale) = by.transpose() * weighted;
  evidence.half_squares = 0.5 * equations.wanted.dot(weighted);
  evidence.on_scale =
      information(0, 0) - information(0, 1) * information(0, 1) / (information(1, 1) + 1.0 / range_offset_variance_m2);
  return evidence;
}

ConstantMatrix with_wider_scales(ConstantMatrix information, double widening) {
  for (const Constant scale : {kRangeScale, kDistanceScale}) {
    information.row(scale) /= widening;
    information.col(scale) /= widening;
  }
  return information;
}

}  // namespace wainscot
