#include "graph/track/match_surprise.hpp"

#include <algorithm>

#include <Eigen/Dense>

namespace wainscot {

double chi_squared_of(const IcpResult& found, const Pose2& predicted, const Eigen::Matrix3d& covariance) {
  const Eigen::Matrix3d own = (found.information + 1e-6 * Eigen::Matrix3d::Identity()).inverse();
  Pose2 error = between(predicted, found.pose);
  error.heading_rad = wrap_angle(error.heading_rad);
  const Tangent2 difference = log(error);
  return difference.dot((covariance + own).ldlt().solve(difference));
}

double surprise_after(double surprise, double chi_squared) {
  return surprise + 0.05 * (std::min(chi_squared / 3.0, 100.0) - surprise);
}

}  // namespace wainscot
