#pragma once

// Rooms of straight and round walls whose ranges have closed forms: the truth that matching is tested against.
// Deliberately free of anything in scanmatch/ but the points that it makes.

#include <cmath>
#include <limits>
#include <numbers>
#include <random>
#include <vector>

#include <Eigen/Core>
#include <Eigen/LU>

#include "core/pose2.hpp"
#include "scanmatch/icp.hpp"
#include "scanmatch/line_map.hpp"
#include "scanmatch/motion_correction.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {

struct Wall {
  Eigen::Vector2d from, to;
};

struct RoundWall {
  Eigen::Vector2d centre;
  double radius_m;
};

/// Where a beam ends.
struct Hit {
  double range_m = std::numeric_limits<double>::infinity();
  Eigen::Vector2d normal = Eigen::Vector2d::Zero();  ///< unit, towards the lidar; zero: nothing was hit
};

struct Room {
  std::vector<Wall> walls;
  std::vector<RoundWall> round_walls;

  /// `direction`: unit vector.
  Hit cast(const Eigen::Vector2d& origin, const Eigen::Vector2d& direction) const {
    Hit hit;
    const auto consider = [&](double range_m, const Eigen::Vector2d& normal) {
      if (range_m <= 1e-9 || range_m >= hit.range_m) return;
      hit = {range_m, normal.dot(direction) < 0.0 ? normal : Eigen::Vector2d(-normal)};
    };
    for (const Wall& wall : walls) {
      // origin + r * direction = from + u * (to - from)
      const Eigen::Vector2d side = wall.to - wall.from;
      const Eigen::Matrix2d equations = (Eigen::Matrix2d() << direction, -side).finished();
      if (std::abs(equations.determinant()) < 1e-12) continue;
      const Eigen::Vector2d solution = equations.inverse() * (wall.from - origin);
      if (solution.y() < 0.0 || solution.y() > 1.0) continue;
      consider(solution.x(), Eigen::Vector2d(-side.y(), side.x()).normalized());
    }
    for (const RoundWall& round : round_walls) {
      // |origin + r * direction - centre| = radius, a quadratic equation in r
      const Eigen::Vector2d away = origin - round.centre;
      const double half = away.dot(direction);
      const double root = half * half - away.squaredNorm() + round.radius_m * round.radius_m;
      if (root < 0.0) continue;
      for (double range_m : {-half - std::sqrt(root), -half + std::sqrt(root)}) {
        consider(range_m, (away + range_m * direction) / round.radius_m);
      }
    }
    return hit;
  }
};

/// Four walls around the origin.
inline Room rectangle(double length_m, double width_m) {
  const double x = 0.5 * length_m;
  const double y = 0.5 * width_m;
  return {{{{-x, -y}, {x, -y}}, {{x, -y}, {x, y}}, {{x, y}, {-x, y}}, {{-x, y}, {-x, -y}}}, {}};
}

/// Two parallel walls along x, so long that no lidar sees their ends.
inline Room corridor(double width_m) {
  constexpr double kFarM = 1000.0;
  const double y = 0.5 * width_m;
  return {{{{-kFarM, -y}, {kFarM, -y}}, {{-kFarM, y}, {kFarM, y}}}, {}};
}

inline Room round_room(double radius_m) { return {{}, {{{0.0, 0.0}, radius_m}}}; }

/// A rectangle that looks different in every direction: a slanting wall and a pillar.
inline Room furnished_room() {
  Room room = rectangle(6.0, 4.0);
  room.walls.push_back({{1.6, 2.0}, {3.0, 0.9}});
  room.walls.push_back({{-3.0, -0.8}, {-2.2, -0.8}});
  room.walls.push_back({{-2.2, -0.8}, {-2.2, -2.0}});
  room.round_walls.push_back({{-1.4, 1.2}, 0.25});
  return room;
}

struct RoomScan {
  int beams = 360;
  double max_range_m = 8.0;
  double noise_m = 0.0;
  double first_angle_rad = 0.003;  ///< not 0: no beam is exactly parallel to a wall
  double roughness_m = 0.0;        ///< standard deviation of where each beam meets its wall, across it
};

/// The returns of a turn at rest with the lidar in the robot's centre, with the walls' true normals.
inline std::vector<ScanPoint> scan_points(const Room& room, const Pose2& pose, const RoomScan& options = {},
                                          std::mt19937* random = nullptr) {
  std::vector<ScanPoint> points;
  std::normal_distribution<double> gauss;
  for (int i = 0; i < options.beams; ++i) {
    const double angle = options.first_angle_rad + 2.0 * std::numbers::pi * i / options.beams;
    const Eigen::Vector2d beam(std::cos(angle), std::sin(angle));
    const Hit hit = room.cast(pose.translation(), pose.rotation() * beam);
    if (hit.range_m >= options.max_range_m) continue;
    double range = hit.range_m + (random != nullptr ? options.noise_m * gauss(*random) : 0.0);
    if (random != nullptr && options.roughness_m > 0.0) {
      range += options.roughness_m * gauss(*random) / std::abs(hit.normal.dot(pose.rotation() * beam));
    }
    const Eigen::Vector2d normal = pose.rotation().transpose() * hit.normal;
    points.push_back({static_cast<float>(range * beam.x()), static_cast<float>(range * beam.y()),
                      static_cast<float>(beam.x()), static_cast<float>(beam.y()), static_cast<float>(range),
                      static_cast<float>(normal.x()), static_cast<float>(normal.y()), 0.0F,
                      static_cast<float>(wrap_angle(angle))});
  }
  return points;
}

/// Adds the points that have normals, seen from `pose`.
inline void add_points(LineMap& map, const std::vector<ScanPoint>& points, const Pose2& pose, const RangeNoise& noise,
                       int node) {
  add_scan(map, points, pose, noise, node);
}

/// How far two poses are apart: metres, and radians counted as metres.
inline double apart(const Pose2& a, const Pose2& b) { return log(between(a, b)).norm(); }

}  // namespace wainscot
