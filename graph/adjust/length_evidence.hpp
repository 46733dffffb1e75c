#pragma once

// Lengths that a person measured in the house, as what they say of the robot's constants. In the adjustment all lengths
// of the map grow with the lidar's range scale, to which odometry's scale is tied by the drive, and those between walls
// that look at one another with its range offset too; a measured length is one linear equation in the two.

#include <Eigen/Core>

#include "graph/constants.hpp"

namespace wainscot {

/// A sum of squares over the constants, of which the adjustment seeks the least together with all else.
struct LengthEvidence {
  ConstantMatrix information = ConstantMatrix::Zero();
  ConstantVector pull = ConstantVector::Zero();  ///< information * the change of the constants that is asked for
  double half_squares = 0.0;                     ///< the cost of no change at all
  /// 1 / variance of the map's scale by these lengths alone, the range offset known as well as the map knows it.
  double on_scale = 0.0;
  /// >= 1: by how much less the stated scales of ranges and of odometry are believed, since the lengths contradict
  /// them.
  double widening = 1.0;

  bool any() const { return on_scale > 0.0; }
  /// At a change of the constants: 0.5 * what the lengths differ by, squared, by their covariance.
  double cost(const ConstantVector& change) const;
};

/// Lengths as linear equations: by_scale_and_offset * (change of range scale, change of range offset) = wanted.
struct LengthEquations {
  Eigen::MatrixX2d by_scale_and_offset;  ///< metres; 1
  Eigen::VectorXd wanted;                ///< metres
  Eigen::MatrixXd covariance;            ///< of `wanted`, m2, positive definite
};

/// `range_offset_variance_m2`: what the map knows of the offset without these lengths, for `on_scale`.
LengthEvidence length_evidence(const LengthEquations& equations, double range_offset_variance_m2);

/// The information on the constants, the scales of ranges and of odometry believed less by `widening`.
ConstantMatrix with_wider_scales(ConstantMatrix information, double widening);

}  // namespace wainscot
