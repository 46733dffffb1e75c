#include "graph/track/seen_slips.hpp"

#include <algorithm>

#include "graph/track/match_surprise.hpp"

namespace wainscot {

void SeenSlips::add(const PredictedStep& step, const IcpResult& found) {
  ++steps_;
  if (chi_squared_of(found, step.predicted, step.covariance) <= kNoNoise) return;
  Pose2 error = between(step.predicted, found.pose);
  error.heading_rad = wrap_angle(error.heading_rad);
  squares_ += log(error).cwiseAbs2();
}

Eigen::Vector3d SeenSlips::variance_of_a_step() const { return squares_ / std::max(1.0, static_cast<double>(steps_)); }

}  // namespace wainscot
