#include "graph/adjust/paired_walls.hpp"

namespace wainscot {

PairedWalls paired_walls(const std::vector<Keyframe>& keyframes, const std::vector<Pose2>& poses,
                         const RangeNoise& noise) {
  PairedWalls walls;
  walls.piece_of.resize(keyframes.size());
  for (std::size_t k = 0; k < keyframes.size(); ++k) {
    const Eigen::Matrix2d rotation = poses[k].rotation();
    walls.piece_of[k].assign(keyframes[k].points.size(), LineMap::kNone);
    for (std::size_t i = 0; i < keyframes[k].points.size(); ++i) {
      const ScanPoint& p = keyframes[k].points[i];
      if (!p.has_normal()) continue;
      walls.piece_of[k][i] =
          walls.pieces.add(poses[k] * Eigen::Vector2d(p.x_m, p.y_m), rotation * Eigen::Vector2d(p.normal_x, p.normal_y),
                           1.0 / across_variance(p, noise), static_cast<int>(k), 0, {p.spacing_m, noise.at(p.range_m)});
    }
    walls.pieces.fit();
  }
  walls.faces = wall_faces(walls.pieces);
  return walls;
}

}  // namespace wainscot
