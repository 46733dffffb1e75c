#include "io/draw/picture_window.hpp"

namespace wainscot {

bool widen_for_paths(PictureWindow& window, const std::vector<std::vector<Pose2>>& paths) {
  if (window.is_nothing()) window.include({0.0, 0.0});
  const double most_m = window.size_m().maxCoeff();
  const Eigen::Vector2d limit_low = window.low_m.array() - most_m;
  const Eigen::Vector2d limit_high = window.high_m.array() + most_m;
  PictureWindow all = window;
  for (const std::vector<Pose2>& path : paths) {
    for (const Pose2& pose : path) all.include(pose.translation());
  }
  window = {all.low_m.cwiseMax(limit_low), all.high_m.cwiseMin(limit_high)};
  return window.low_m != all.low_m || window.high_m != all.high_m;
}

}  // namespace wainscot
