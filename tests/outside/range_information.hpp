#pragma once

// The information that a scan's ranges hold about the pose (x, y, heading): A. Censi, "On achievable accuracy for
// range-finder localization", ICRA 2007; "On achievable accuracy for pose tracking", ICRA 2009. It is the sum of
// J^T J / sigma^2 with
//
//   J = [ -n / (n . v),  -r (n . v_left) / (n . v) ]
//
// n the wall's normal at the hit, v the beam's direction, v_left that turned by +90 degrees, r the range.
//
// Two scans of a room that nobody knows tell each other's pose as far as both tell where each wall is: the walls' own
// parameters are unknowns as well, and are eliminated (Schur's complement).

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <vector>

#include <Eigen/Core>
#include <Eigen/Dense>

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

/// Of the pose in its own frame, where match_icp states it, in a room that is known; `counts(hit, beam)` tells which
/// beams (directions in the room's frame) are there. A wall that is rough by s adds (s / (n . v))^2 to a range's
/// variance.
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

/// The wall that a beam met, counted from the first straight one on to the last round one.
inline std::size_t met_wall(const Room& room, const Eigen::Vector2d& at) {
  std::size_t nearest = 0;
  double least_m = std::numeric_limits<double>::infinity();
  const auto consider = [&](std::size_t wall, double distance_m) {
    if (distance_m < least_m) least_m = distance_m, nearest = wall;
  };
  for (std::size_t i = 0; i < room.walls.size(); ++i) {
    const Eigen::Vector2d side = room.walls[i].to - room.walls[i].from;
    const double share = std::clamp((at - room.walls[i].from).dot(side) / side.squaredNorm(), 0.0, 1.0);
    consider(i, (at - room.walls[i].from - share * side).norm());
  }
  for (std::size_t i = 0; i < room.round_walls.size(); ++i) {
    const RoundWall& round = room.round_walls[i];
    consider(room.walls.size() + i, std::abs((at - round.centre).norm() - round.radius_m));
  }
  return nearest;
}

/// By how much the wall moves towards its normal at `at` when its own parameters grow by one: of a straight wall its
/// place and slope, of a round one its centre and radius.
inline Eigen::Vector3d moved_by_parameters(const Room& room, std::size_t wall, const Eigen::Vector2d& at,
                                           const Eigen::Vector2d& normal) {
  if (wall < room.walls.size()) {
    const Eigen::Vector2d tangent = (room.walls[wall].to - room.walls[wall].from).normalized();
    const double seen_from = normal.x() * tangent.y() - normal.y() * tangent.x() < 0.0 ? -1.0 : 1.0;
    return {seen_from, seen_from * tangent.dot(at - room.walls[wall].from), 0.0};
  }
  const Eigen::Vector2d outwards = (at - room.round_walls[wall - room.walls.size()].centre).normalized();
  return {normal.x(), normal.y(), normal.dot(outwards)};
}

/// What scans tell of one wall's own parameters.
struct WallInformation {
  /// What no beam tells is known to 30 m and 30 radians, so that a wall can be eliminated.
  Eigen::Matrix3d information = 1e-3 * Eigen::Matrix3d::Identity();
  Eigen::Matrix3d with_pose = Eigen::Matrix3d::Zero();
};

/// Of `second` relative to `first`, in the second one's own frame, from a scan of each in a room that nobody knows;
/// `counts` as above, for both scans.
template <typename Counts>
Eigen::Matrix3d fisher_information_between(const Room& room, const Pose2& first, const Pose2& second,
                                           const RoomScan& scan, double sigma_m, const Counts& counts) {
  std::vector<WallInformation> walls(room.walls.size() + room.round_walls.size());
  const auto add_scan_of = [&](const Pose2& pose, bool counts_for_pose) {
    visit_beams(room, pose, scan, [&](const Hit& hit, const Eigen::Vector2d& beam) {
      if (!counts(hit, beam)) return;
      const Eigen::Vector2d at = pose.translation() + hit.range_m * beam;
      const std::size_t wall = met_wall(room, at);
      const double facing = hit.normal.dot(beam);
      const double rough_m = scan.roughness_m / facing;
      const double weight = 1.0 / (sigma_m * sigma_m + rough_m * rough_m);
      const Eigen::Vector3d by_wall = moved_by_parameters(room, wall, at, hit.normal) / facing;
      walls[wall].information += weight * by_wall * by_wall.transpose();
      if (!counts_for_pose) return;
      Eigen::Vector3d by_pose = range_by_pose(hit, beam);
      by_pose.head<2>() = pose.rotation().transpose() * by_pose.head<2>();
      walls[wall].with_pose += weight * by_pose * by_wall.transpose();
    });
  };
  add_scan_of(first, false);
  add_scan_of(second, true);
  Eigen::Matrix3d information = fisher_information(room, second, scan, sigma_m, counts);
  for (const WallInformation& own : walls) {
    information -= own.with_pose * own.information.ldlt().solve(own.with_pose.transpose());
  }
  return information;
}

}  // namespace wainscot
