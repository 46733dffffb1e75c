#include "graph/known/wall_errors.hpp"

#include <cstddef>
#include <cstdint>

#include <Eigen/Dense>

#include "graph/known/wall_faces.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {
namespace {

struct PairOnWall {
  std::size_t face;
  std::int32_t line;
  double distance_m;
  double variance_m2;
  Eigen::Vector3d jacobian;
};

}  // namespace

Eigen::Matrix3d wall_errors(const std::vector<ScanPoint>& points, const LineMap& walls, const RangeNoise& noise,
                            const Pose2& pose) {
  const IcpOptions matching;
  std::vector<WallFace> faces;
  std::vector<PairOnWall> pairs;
  std::vector<double> counts(walls.lines().size(), 0.0);
  const Eigen::Matrix2d rotation = pose.rotation();
  std::int32_t line = LineMap::kNone;
  for (const ScanPoint& p : points) {
    if (!p.has_normal()) continue;
    const Eigen::Vector2d at = pose.translation() + rotation * Eigen::Vector2d(p.x_m, p.y_m);
    const std::int32_t before = line;
    line = walls.find(at, rotation * Eigen::Vector2d(p.normal_x, p.normal_y), matching.last_gate_m, 0, line);
    if (line == LineMap::kNone) continue;
    const Line& wall = walls.lines()[static_cast<std::size_t>(line)];
    const std::size_t face =
        line == before ? pairs.back().face
                       : face_of(wall.fitted_normal, wall.anchor + wall.fitted_offset_m * wall.fitted_normal, faces);
    const Eigen::Vector2d n = rotation.transpose() * wall.fitted_normal;
    const double behind = wall.range_bias_m * (n.x() * p.beam_x + n.y() * p.beam_y);
    pairs.push_back({face,
                     line,
                     wall.distance_of(at) - behind,
                     across_variance(p, noise),
                     {n.x(), n.y(), n.y() * p.x_m - n.x() * p.y_m}});
    counts[static_cast<std::size_t>(line)] += 1.0;
  }
  constexpr std::size_t kUnknowns = 3;  // x, y, heading
  if (faces.size() <= kUnknowns) return Eigen::Matrix3d::Zero();
  Eigen::Matrix3d information = 1e-6 * Eigen::Matrix3d::Identity();  // 1000 m, 1000 rad
  Eigen::Matrix3d of_pulls = Eigen::Matrix3d::Zero();
  std::vector<Eigen::Vector3d> pulls(faces.size(), Eigen::Vector3d::Zero());
  for (const PairOnWall& pair : pairs) {  // weighed as the match weighs them
    const double shared = counts[static_cast<std::size_t>(pair.line)] * matching.line_error_m * matching.line_error_m;
    const double ratio = pair.distance_m / matching.robust_scale_m;
    const double weight = 1.0 / ((pair.variance_m2 + shared) * (1.0 + ratio * ratio));
    const Eigen::Matrix3d square = pair.jacobian * pair.jacobian.transpose();
    information += weight * square;
    of_pulls -= weight * weight * pair.variance_m2 * square;  // of noise
    pulls[pair.face] += weight * pair.distance_m * pair.jacobian;
  }
  for (const Eigen::Vector3d& pull : pulls) of_pulls += pull * pull.transpose();
  const Eigen::Matrix3d covariance = information.inverse();
  const auto count = static_cast<double>(faces.size());
  return count / (count - static_cast<double>(kUnknowns)) * covariance * of_pulls * covariance;
}

}  // namespace wainscot
