#pragma once

// Scenes as finished maps: what robots that stood still at some poses saw of them.

#include <cmath>
#include <limits>
#include <vector>

#include "graph/known/known_map.hpp"
#include "tests/graph/scene.hpp"

namespace wainscot {

/// Of what sees the scenes.
constexpr RangeNoise kNoise{0.005, 0.0};

/// Free along the beams, occupied at their ends, unseen elsewhere; 40 m x 20 m around the origin, cells of 5 cm.
inline OccupancyGrid grid_of(const std::vector<MapView>& views) {
  OccupancyGrid grid;
  grid.frame = {0.05, -400, -200, 800, 400};
  grid.probability.assign(800 * 400, std::numeric_limits<float>::quiet_NaN());
  const auto cell = [&grid](const Eigen::Vector2d& p) -> float& {
    const Eigen::Vector2d at = (p - grid.frame.lower_left_corner_m()) / grid.frame.cell_size_m;
    return grid.probability.at(static_cast<std::size_t>(at.y()) * 800 + static_cast<std::size_t>(at.x()));
  };
  for (const bool ends : {false, true}) {
    for (const MapView& view : views) {
      for (const ScanPoint& p : view.points) {
        const Eigen::Vector2d end = view.pose * Eigen::Vector2d(p.x_m, p.y_m);
        const Eigen::Vector2d from = view.pose.translation();
        if (ends) cell(end) = 0.95F;
        for (double at = 0.0; !ends && at < 1.0; at += 0.004) cell(from + at * (end - from)) = 0.05F;
      }
    }
  }
  return grid;
}

inline KnownMap known_scene(const Scene& scene, const std::vector<Pose2>& poses) {
  std::vector<MapView> views;
  for (const Pose2& pose : poses) views.push_back({pose, keyframe_at(scene, pose).points});
  return {grid_of(views), views, {still_lidar().noise_m, 0.0}};
}

inline Scene both(Scene one, const Scene& other) {
  one.insert(one.end(), other.begin(), other.end());
  return one;
}

/// Some poses in the crooked room that together see all of it.
inline std::vector<Pose2> poses_in_crooked_room(const Pose2& room = {}) {
  std::vector<Pose2> poses;
  for (const Pose2& pose : {Pose2{-1.2, -0.6, 0.3}, {0.0, 0.4, 1.0}, {1.4, -0.8, 2.5}, {-0.6, 1.0, -0.4}}) {
    poses.push_back(room * pose);
  }
  return poses;
}

/// The crooked room with an alcove behind its wall on the right, which is entered at the lower corner.
inline Scene with_alcove() {
  return closed_walls({{-2.5, -2.0},
                       {4.0, -2.0},
                       {4.0, -0.2},
                       {2.5, -1.0},
                       {2.5, 0.8},
                       {1.3, 0.8},
                       {1.3, 2.0},
                       {-1.5, 2.0},
                       {-2.5, 1.2}});
}

/// Some poses that together see its room, and of the alcove hardly anything.
inline std::vector<Pose2> poses_without_alcove() {
  return {{2.3, 0.0, 0.3}, {2.2, 0.5, 1.0}, {0.8, 1.7, 2.5}, {-1.3, 1.6, -0.4}, {2.0, 0.6, 0.0}};
}

}  // namespace wainscot
