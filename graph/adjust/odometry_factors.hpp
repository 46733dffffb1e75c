#pragma once

// Odometry between consecutive nodes as measurements of the joint adjustment: of both poses and of the constants of
// odometry and of the lidar's clock.

#include <vector>

#include <Eigen/Core>

#include "graph/adjust/adjustment_problem.hpp"
#include "graph/adjust/unknown_layout.hpp"
#include "graph/normal_system.hpp"

namespace wainscot {

/// From node i to node i + 1. Tangent spaces (m, m, rad) are those of the later node but where said otherwise.
struct OdometryFactor {
  Tangent2 residual = Tangent2::Zero();  ///< of where the later node is against where odometry leads
  Eigen::Matrix3d covariance;            ///< of the residual, with the noise ratio, before the robust weight
  Eigen::Matrix3d information;           ///< its inverse
  bool may_slip = false;                 ///< a slip's variance is in it too: nothing is learnt from it of noise
  double robust = 1.0;                   ///< the robust weight is 1 / this
  Eigen::Matrix3d by_from;               ///< derivative of the residual by a motion of node i in its own frame,
  Eigen::Matrix3d by_to;                 ///< by one of node i + 1,
  Eigen::Matrix<double, 3, kConstants> by_constants;  ///< and by the constants
};

/// One for each node but the last. The state's scans are corrected.
std::vector<OdometryFactor> odometry_factors(const AdjustmentProblem& problem, const AdjustmentState& state);

void add_odometry(const std::vector<OdometryFactor>& factors, const UnknownLayout& layout, NormalSystem& system);

/// 0.5 * sum of the residuals' robust squares in another state, with the factors' information.
double odometry_cost(const AdjustmentProblem& problem, const std::vector<OdometryFactor>& factors,
                     const AdjustmentState& state);

}  // namespace wainscot
