#pragma once

// Which part of the floor a picture shows.

#include <vector>

#include <Eigen/Core>

#include "core/pose2.hpp"

namespace wainscot {

/// A rectangle, metres in the picture's frame, y up. It begins as nothing.
struct PictureWindow {
  Eigen::Vector2d low_m = Eigen::Vector2d::Constant(1e300);
  Eigen::Vector2d high_m = Eigen::Vector2d::Constant(-1e300);

  void include(const Eigen::Vector2d& place_m) {
    low_m = low_m.cwiseMin(place_m);
    high_m = high_m.cwiseMax(place_m);
  }
  bool is_nothing() const { return low_m.x() > high_m.x(); }
  Eigen::Vector2d size_m() const { return high_m - low_m; }
};

/// Widens the window for paths that are drawn beside the map, odometry's, by its larger side at most: the map keeps a
/// third of the picture. Returns whether they leave it even so.
bool widen_for_paths(PictureWindow& window, const std::vector<std::vector<Pose2>>& paths);

}  // namespace wainscot
