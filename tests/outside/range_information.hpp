#pragma once

// The information that a scan's ranges hold about the pose (x, y, heading): A. Censi, "On achievable accuracy for
// range-finder localization", ICRA 2007; "On achievable accuracy for pose tracking", ICRA 2009. It is the sum of
// J^T J / sigma^2 with
//
//   J = [ -n / (n . v),  -r (n . v_left) / (n . v) ]
//
// n the wall's normal at the hit, v the beam's direction, v_left that turned by +90 degrees, r the range.

#include <cmath>

#include <Eigen/Core>

#include "tests/scanmatch/room.hpp"

namespace wainscot {

/// Derivative of one range by the pose, position in the room's frame.
inline Eigen::Vector3d range_by_pose(const Hit& hit, const Eigen::Vector2d& beam) {
  const double facing = hit.normal.dot(beam);
  const Eigen::Vector2d left(-beam.y(), beam.x());
  const Eigen::Vector2d by_position = -hit.normal / facing;
  return {by_position.x(), by_position.y(), -hit.range_m * hit.normal.dot(left) / facing};
}

/// Calls visit(hit, beam direction in the room's frame) for each beam that `scan_points` would return.
template <typename Visit>
void visit_beams(const Room& room, const Pose2& pose, const RoomScan& scan, const Visit& visit) {
  for (int i = 0; i < scan.beams; ++i) {
    const double angle = pose.heading_rad + scan.first_angle_rad + 2.0 * std::numbers::pi * i / scan.beams;
    const Eigen::Vector2d beam(std::cos(angle), std::sin(angle));
    const Hit hit = room.cast(pose.translation(), beam);
    if (hit.range_m < scan.max_range_m) {
      visit(hit, beam);
    }
  }
}

/// Of the pose in its own frame, where match_icp states it; `counts(hit, beam)` tells which beams (directions in the
/// room's frame) are there. A wall that is rough by s adds (s / (n . v))^2 to a range's variance.
template <typename Counts>
Eigen::Matrix3d fisher_information(const Room& room, const Pose2& pose, const RoomScan& scan, double sigma_m,
                                   const Counts& counts) {
  Eigen::Matrix3d information = Eigen::Matrix3d::Zero();
  visit_beams(room, pose, scan, [&](const Hit& hit, const Eigen::Vector2d& beam) {
    if (!counts(hit, beam)) return;
    Eigen::Vector3d j = range_by_pose(hit, beam);
    j.head<2>() = pose.rotation().transpose() * j.head<2>();
    const double rough_m = scan.roughness_m / hit.normal.dot(beam);
    information += j * j.transpose() / (sigma_m * sigma_m + rough_m * rough_m);
  });
  return information;
}

inline Eigen::Matrix3d fisher_information(const Room& room, const Pose2& pose, const RoomScan& scan, double sigma_m) {
  return fisher_information(room, pose, scan, sigma_m, [](const Hit&, const Eigen::Vector2d&) { return true; });
}

}  // namespace wainscot
