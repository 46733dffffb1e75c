#include "core/square_path.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace wainscot {
namespace {

Eigen::Vector2d centre(const std::vector<Eigen::Vector2d>& errors) {
  Eigen::Vector2d sum = Eigen::Vector2d::Zero();
  for (const Eigen::Vector2d& error : errors) sum += error;
  return sum / static_cast<double>(errors.size());
}

}  // namespace

SquarePathResult square_path(const SquareRuns& runs) {
  if (runs.clockwise.empty() || runs.counter_clockwise.empty() || !(runs.side_m > 0.0) || !(runs.track_width_m > 0.0)) {
    throw std::invalid_argument("the square-path test needs runs both ways, a side and a track width");
  }
  SquarePathResult result;
  const Eigen::Vector2d cw = centre(runs.clockwise);
  const Eigen::Vector2d ccw = centre(runs.counter_clockwise);
  result.clockwise_centre_m = cw;
  result.counter_clockwise_centre_m = ccw;
  result.largest_systematic_m = std::max(cw.norm(), ccw.norm());
  const double by = -4.0 * runs.side_m;
  result.alpha_rad = 0.5 * ((cw.x() + ccw.x()) / by + (cw.y() - ccw.y()) / by);
  result.beta_rad = 0.5 * ((cw.x() - ccw.x()) / by + (cw.y() + ccw.y()) / by);
  const double quarter = 0.5 * std::numbers::pi;
  result.width_ratio = quarter / (quarter - result.alpha_rad);
  // E_d = (R + b/2) / (R - b/2) with the radius R = (L/2) / sin(beta/2), written so that no turn at all is 1.
  const double half_width_by_radius = runs.track_width_m * std::sin(0.5 * result.beta_rad) / runs.side_m;
  result.diameter_ratio = (1.0 + half_width_by_radius) / (1.0 - half_width_by_radius);
  result.left_factor = 2.0 / (result.diameter_ratio + 1.0);
  result.right_factor = 2.0 / (1.0 / result.diameter_ratio + 1.0);
  return result;
}

}  // namespace wainscot
