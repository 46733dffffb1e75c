#include "tests/bench/wall_score.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>

#include "apps/simulator/ray_caster.hpp"
#include "graph/compare/face_height.hpp"

namespace wainscot::bench {

std::vector<FacingWalls> facing_walls(const simulator::Surfaces& surfaces) {
  constexpr double step_m = 0.5;
  constexpr double least_m = 0.5;
  constexpr double most_m = 15.0;
  constexpr double parallel_rad = 0.005;
  const simulator::RayCaster caster(surfaces);
  std::vector<FacingWalls> result;
  for (const simulator::Surface& wall : surfaces.flat) {
    const double length = simulator::norm(wall.to - wall.from);
    if (wall.kind != simulator::SurfaceKind::wall) {
      continue;
    }
    const simulator::Point along = simulator::unit(wall.to - wall.from);
    const simulator::Point normal = simulator::left_of(along);
    for (double at = 0.25; at < length - 0.2; at += step_m) {
      const simulator::Point from = wall.from + at * along;
      const simulator::Point start = from + 1e-4 * normal;
      const simulator::Hit hit = caster.cast(start, normal, most_m, false);
      const double distance = hit.range_m + 1e-4;
      // Each pair of faces is met from both sides; one of them is enough.
      if (hit.face > wall.face && hit.kind == simulator::SurfaceKind::wall && hit.incidence_rad < parallel_rad &&
          distance > least_m) {
        const simulator::Point to = from + distance * normal;
        result.push_back({{from.x_m, from.y_m}, {to.x_m, to.y_m}, {normal.x_m, normal.y_m}});
      }
    }
  }
  return result;
}

double WallScore::within_goal() const {
  int within = 0;
  for (std::size_t i = 0; i < errors_m.size(); ++i) {
    within += std::abs(errors_m[i]) <= std::max(0.005, 0.002 * distances_m[i]) ? 1 : 0;
  }
  return errors_m.empty() ? 1.0 : static_cast<double>(within) / static_cast<double>(errors_m.size());
}

double WallScore::median_error_m() const {
  std::vector<double> sizes;
  for (const double error : errors_m) {
    sizes.push_back(std::abs(error));
  }
  std::sort(sizes.begin(), sizes.end());
  return sizes.empty() ? 0.0 : sizes[sizes.size() / 2];
}

WallScore score_walls(const Map& map, const simulator::Truth& truth, const Pose2& truth_from_map) {
  WallScore score;
  const Pose2 map_from_truth = inverse(truth_from_map);
  for (const FacingWalls& walls : facing_walls(truth.surfaces)) {
    const Eigen::Vector2d from = map_from_truth * walls.from;
    const Eigen::Vector2d to = map_from_truth * walls.to;
    const Eigen::Vector2d normal = map_from_truth.rotation() * walls.normal;
    const std::optional<FaceHeight> near = height_of_face(map.wall_pieces, from, normal);
    const std::optional<FaceHeight> far = height_of_face(map.wall_pieces, to, -normal);
    if (!near || !far) {
      ++score.unmeasured;
      continue;
    }
    const double distance = (to - from).norm();
    score.errors_m.push_back(-near->height_m - far->height_m);
    score.distances_m.push_back(distance);
    score.sds_m.push_back(std::hypot(near->sd_m, far->sd_m, map.quality.scale_sd * distance));
  }
  return score;
}

}  // namespace wainscot::bench
