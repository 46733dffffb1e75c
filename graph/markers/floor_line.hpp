#pragma once

// A straight line on the floor that the robot followed.

#include <vector>

#include <Eigen/Core>

#include "core/pose2.hpp"

namespace wainscot {

struct FloorLine {
  Eigen::Vector2d anchor{0.0, 0.0};  ///< a place on it
  double direction_rad = 0.0;        ///< its two directions are the same line

  Eigen::Vector2d along() const;
  Eigen::Vector2d normal() const;  ///< to the left of the direction
  /// How far a place lies to the left of the line, m.
  double left_m(const Eigen::Vector2d& place) const;
  /// How far it lies ahead of the anchor, m.
  double ahead_m(const Eigen::Vector2d& place) const;
};

/// The line with the least sum of squared distances from two or more places, its anchor in their middle, its direction
/// from the first place to the last.
FloorLine line_through(const std::vector<Eigen::Vector2d>& places);

/// The line in another frame, of which `new_old` is the pose of the present one.
FloorLine in_frame(const Pose2& new_old, const FloorLine& line);

}  // namespace wainscot
