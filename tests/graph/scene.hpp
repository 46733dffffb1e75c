#pragma once

// A room of straight walls and what a lidar without noise sees of it from a robot that stands still: scans whose every
// return is known, for tests of single stages.

#include <cmath>
#include <cstddef>
#include <limits>
#include <numbers>
#include <random>
#include <utility>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "graph/optimiser.hpp"
#include "graph/track/keyframes.hpp"

namespace wainscot {

using Segment = std::pair<Eigen::Vector2d, Eigen::Vector2d>;
using Scene = std::vector<Segment>;

/// Closed walls through the corners.
inline Scene closed_walls(const std::vector<Eigen::Vector2d>& corners) {
  Scene scene;
  for (std::size_t i = 0; i < corners.size(); ++i) scene.emplace_back(corners[i], corners[(i + 1) % corners.size()]);
  return scene;
}

/// A room without any symmetry: 5 m x 4 m with a step in one corner and a slanted wall in another.
inline Scene crooked_room() {
  return closed_walls({{-2.5, -2.0}, {2.5, -2.0}, {2.5, 0.8}, {1.3, 0.8}, {1.3, 2.0}, {-1.5, 2.0}, {-2.5, 1.2}});
}

/// Everything moved by a pose.
inline Scene moved(const Scene& scene, const Pose2& pose) {
  Scene result;
  for (const auto& [a, b] : scene) result.emplace_back(pose * a, pose * b);
  return result;
}

/// Seen in a mirror along the x axis.
inline Scene mirrored(const Scene& scene) {
  Scene result;
  for (const auto& [a, b] : scene) result.emplace_back(Eigen::Vector2d(a.x(), -a.y()), Eigen::Vector2d(b.x(), -b.y()));
  return result;
}

/// Distance along a beam to the first wall; infinity where there is none.
inline double range_to(const Scene& scene, const Eigen::Vector2d& from, const Eigen::Vector2d& along) {
  double nearest = std::numeric_limits<double>::infinity();
  for (const auto& [a, b] : scene) {
    const Eigen::Vector2d wall = b - a;
    const double determinant = wall.x() * along.y() - wall.y() * along.x();
    if (std::abs(determinant) < 1e-12) continue;
    const Eigen::Vector2d d = a - from;
    const double range = (wall.x() * d.y() - wall.y() * d.x()) / determinant;
    const double part = (along.x() * d.y() - along.y() * d.x()) / determinant;
    if (range > 1e-9 && part >= 0.0 && part <= 1.0) nearest = std::min(nearest, range);
  }
  return nearest;
}

/// All beams at once, one a degree; walls further than 12 m are not seen.
inline Scan scan_at(const Scene& scene, const Pose2& pose, double time_s = 0.0) {
  Scan scan;
  scan.time_s = time_s;
  for (int degree = -179; degree <= 180; ++degree) {
    const double angle = degree * std::numbers::pi / 180.0;
    const double world = pose.heading_rad + angle;
    const double range = range_to(scene, pose.translation(), {std::cos(world), std::sin(world)});
    if (range < 12.0) scan.returns.push_back({static_cast<float>(angle), static_cast<float>(range), 0.0F});
  }
  return scan;
}

/// The constants of that lidar, at the middle of the robot.
inline LidarConstants still_lidar() {
  LidarConstants lidar;
  lidar.sweep_s = 0.0;
  lidar.max_range_m = 12.0;
  lidar.noise_m = 0.005;
  return lidar;
}

inline Keyframe keyframe_at(const Scene& scene, const Pose2& pose, std::size_t index = 0) {
  const LidarConstants lidar = still_lidar();
  OdometryStep rest;
  rest.end_s = 1e6;
  const double time = static_cast<double>(index);
  const OdometryPath path({rest}, {});
  return {index, time,
          prepare_scan(scan_at(scene, pose, time), time, lidar_model(lidar), lidar, path, Tangent2::Zero())};
}

/// Way driven until each pose.
inline std::vector<double> ways_of(const std::vector<Pose2>& poses) {
  std::vector<double> ways{0.0};
  for (std::size_t i = 1; i < poses.size(); ++i) {
    ways.push_back(ways.back() + (poses[i].translation() - poses[i - 1].translation()).norm());
  }
  return ways;
}

inline Eigen::Matrix3d information_of(double sd_m, double sd_rad) {
  return Eigen::Vector3d(1.0 / (sd_m * sd_m), 1.0 / (sd_m * sd_m), 1.0 / (sd_rad * sd_rad)).asDiagonal();
}

inline Eigen::Matrix3d covariance_of(double sd_m, double sd_rad) {
  return Eigen::Vector3d(sd_m * sd_m, sd_m * sd_m, sd_rad * sd_rad).asDiagonal();
}

/// A random error with these standard deviations.
inline Pose2 random_error(std::mt19937& random, double sd_m, double sd_rad) {
  std::normal_distribution<double> normal;
  const double x = sd_m * normal(random);
  const double y = sd_m * normal(random);
  return exp({x, y, sd_rad * normal(random)});
}

/// Of b against a: metres and radians.
inline double apart_m(const Pose2& a, const Pose2& b) { return (a.translation() - b.translation()).norm(); }
inline double apart_rad(const Pose2& a, const Pose2& b) { return std::abs(wrap_angle(a.heading_rad - b.heading_rad)); }

}  // namespace wainscot
