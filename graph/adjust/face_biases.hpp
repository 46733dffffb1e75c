#pragma once

// By how much the range biases of walls' faces scatter, as the adjustment finds it.

#include <Eigen/Core>

#include "graph/adjust/unknown_layout.hpp"
#include "graph/normal_system.hpp"

namespace wainscot {

/// Standard deviation of the faces' biases about zero, m: one step of expectation and maximisation (A. Dempster, N.
/// Laird, D. Rubin, "Maximum likelihood from incomplete data via the EM algorithm", Journal of the Royal Statistical
/// Society B 39, 1977): the mean of each bias' square and of its own variance. A drive that tells nothing of the
/// biases leaves `sd_m`, with which the equations were made; so do fewer than ten faces. A bias of more than 2.5 times
/// `sd_m`, as of glass, counts as one of that size.
///
/// `solution`: of the equations that `factor` factorises undamped.
double found_face_bias_sd_m(const Eigen::VectorXd& solution, const UnknownLayout& layout, const NormalFactor& factor,
                            double sd_m);

}  // namespace wainscot
