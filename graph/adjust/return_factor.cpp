#include "graph/adjust/return_factor.hpp"

#include <algorithm>
#include <cmath>

namespace wainscot {
namespace {

/// What noise added to the range; an outlier's is not its range's noise alone.
double range_error_m(double residual, double along_beam, double variance) {
  constexpr double kMostSd = 3.0;  // 0.3 % of gaussian errors are cut
  if (along_beam == 0.0) return 0.0;
  const double most = kMostSd * std::sqrt(variance) / std::abs(along_beam);
  return std::clamp(residual / along_beam, -most, most);
}

}  // namespace

ReturnFactor return_factor(const ScanPoint& p, const Line& line, const MeasuringNode& node, double robust_ratio) {
  ReturnFactor factor;
  const Eigen::Vector2d local(p.x_m, p.y_m);
  const Eigen::Vector2d world = node.pose * local;
  const Eigen::Vector2d& normal = line.fitted_normal;
  const Eigen::Vector2d n = node.to_robot * normal;
  const Eigen::Vector2d beam(p.beam_x, p.beam_y);
  const double along_beam = n.dot(beam);
  factor.across_m = normal.dot(world - line.anchor);
  const double variance = across_variance(p, node.noise);
  const double residual = line.distance_of(world);
  factor.residual_m = residual;
  // Where the beam would have ended without its noise: derivatives at the noisy point are correlated with the noise,
  // which tilts each piece by what the beams' slant and the noise make of it, and shortens all ranges to fit.
  const Eigen::Vector2d from_noise = range_error_m(residual, along_beam, variance) * beam;
  const Eigen::Vector2d on_wall = local - from_noise;
  const Eigen::Vector2d world_on_wall = node.pose * on_wall;
  const double along =
      normal.y() * (world_on_wall.x() - line.anchor.x()) - normal.x() * (world_on_wall.y() - line.anchor.y());

  factor.by_pose = Eigen::Vector3d(n.x(), n.y(), n.y() * on_wall.x() - n.x() * on_wall.y());
  factor.by_piece = Eigen::Vector3d(-1.0, -along, -along_beam);
  const Eigen::Vector2d from_lidar = on_wall - node.lidar_m;
  // With the range scale the whole house grows, and with it the way driven during the sweep: from_lidar, not the
  // range alone; on the wall, outliers too: else a smaller house would seem to fit better.
  const double by_scale = n.dot(local - node.lidar_m) - residual;
  factor.by_lidar << n.x(), n.y(), n.y() * from_lidar.x() - n.x() * from_lidar.y(), by_scale, along_beam,
      p.time_offset_s * factor.by_pose.dot(node.velocity);

  factor.robust = 1.0 + residual * residual / (variance * robust_ratio * robust_ratio);
  factor.weight = 1.0 / (variance * factor.robust);
  return factor;
}

double distance_without_bias_m(const ScanPoint& p, const Line& line, const Pose2& pose,
                               const Eigen::Matrix2d& rotation) {
  const double along_beam = line.fitted_normal.dot(rotation * Eigen::Vector2d(p.beam_x, p.beam_y));
  return line.distance_of(pose * Eigen::Vector2d(p.x_m, p.y_m)) - along_beam * line.range_bias_m;
}

}  // namespace wainscot
