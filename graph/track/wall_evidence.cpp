#include "graph/track/wall_evidence.hpp"

#include <algorithm>
#include <cstddef>

namespace wainscot {

SeenSpace LocalWalls::seen(const Eigen::Vector2d& centre, double half_size_m) const {
  SeenSpace space(centre, half_size_m);
  for (auto k = static_cast<std::size_t>(oldest_node); k < keyframes.size(); ++k) {
    const Pose2& from = poses[k];
    const Eigen::Matrix2d rotation = from.rotation();
    for (const ScanPoint& p : keyframes[k].points) {
      const Eigen::Vector2d end = from * Eigen::Vector2d(p.x_m, p.y_m);
      const Eigen::Vector2d beam = rotation * Eigen::Vector2d(p.beam_x, p.beam_y);
      space.add_beam(end - static_cast<double>(p.range_m) * beam, end);
    }
  }
  return space;
}

double WallEvidence::log_likelihood() const {
  // Neighbouring returns err alike: five count for one, and a scan for 180 at most, since what is odd about it (a moved
  // chair, a bent map) is odd in all of them. Chosen by hand: with 180 halved a place has to be watched twice as long,
  // with twice as many one odd scan convinces.
  constexpr double kOfOne = 5.0;
  constexpr double kMost = 180.0;
  return (on_wall - 2.0 * in_free) / std::max(all, 1.0) * std::min(all, kMost) / kOfOne;
}

WallEvidence wall_evidence(const std::vector<ScanPoint>& points, const Pose2& pose, const LocalWalls& walls,
                           const SeenSpace& space) {
  constexpr std::size_t kEnough = 240;  // a limit of time: more than the 180 that count
  constexpr double kNearM = 0.1;        // a door's leaf or a chair is further from a wall
  WallEvidence evidence;
  const Eigen::Matrix2d rotation = pose.rotation();
  const std::size_t stride = std::max<std::size_t>(1, points.size() / kEnough);
  for (std::size_t i = 0; i < points.size(); i += stride) {
    const ScanPoint& p = points[i];
    const Eigen::Vector2d place = pose * Eigen::Vector2d(p.x_m, p.y_m);
    evidence.all += 1.0;
    if (p.has_normal()) {
      const Eigen::Vector2d normal = rotation * Eigen::Vector2d(p.normal_x, p.normal_y);
      const double near_m = std::max(kNearM, 3.0 * walls.noise.at(p.range_m));
      if (walls.lines.find(place, normal, near_m, walls.oldest_node) != LineMap::kNone) {
        evidence.on_wall += 1.0;
        continue;
      }
    }
    evidence.in_free += space.is_free(place) ? 1.0 : 0.0;
  }
  return evidence;
}

double contradiction(const std::vector<ScanPoint>& points, const Pose2& pose, const SeenSpace& space) {
  std::size_t seen = 0;
  std::size_t in_free = 0;
  for (const ScanPoint& p : points) {
    const Eigen::Vector2d place = pose * Eigen::Vector2d(p.x_m, p.y_m);
    seen += space.is_seen(place) ? 1 : 0;
    in_free += space.is_free(place) ? 1 : 0;
  }
  return 5 * seen < points.size() ? 0.0 : static_cast<double>(in_free) / static_cast<double>(seen);
}

}  // namespace wainscot
