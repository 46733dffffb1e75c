#include "graph/adjust/resection.hpp"

#include <algorithm>
#include <utility>

#include <Eigen/Dense>

#include "graph/parallel.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {

JointResult with_resected(const Drive& drive, const std::vector<OdometryStep>& steps, NodesBefore nodes,
                          JointResult adjusted, int threads) {
  const std::vector<std::size_t>& kept = nodes.adjusted;
  std::vector<Keyframe>& keyframes = nodes.keyframes;
  if (kept.size() == keyframes.size()) return adjusted;
  const OdometryPath path(steps, adjusted.constants.odometry());
  const LidarModel lidar = adjusted.constants.lidar(drive.robot.lidar);
  const RangeNoise noise = range_noise(drive.robot.lidar);
  IcpOptions icp;
  icp.first_gate_m = 0.15;   // what the adjustment bent between the two
  icp.line_error_m = 0.003;  // the pieces are adjusted
  std::vector<Pose2> poses(keyframes.size());
  std::vector<Eigen::Matrix3d> covariances(keyframes.size());
  for_each_index(keyframes.size(), threads, [&](std::size_t i) {
    const auto after = std::lower_bound(kept.begin(), kept.end(), i);
    const auto slot = static_cast<std::size_t>(after - kept.begin());
    if (after != kept.end() && *after == i) {
      keyframes[i] = std::move(adjusted.keyframes[slot]);
      poses[i] = adjusted.poses[slot];
      covariances[i] = adjusted.covariances[slot];
      return;
    }
    const std::size_t nearest = i - kept[slot - 1] < kept[slot] - i ? slot - 1 : slot;
    const Pose2 predicted = adjusted.poses[nearest] * between(nodes.poses[kept[nearest]], nodes.poses[i]);
    keyframes[i].time_s = adjusted.constants.wheel_time_s(drive.scans[keyframes[i].scan].time_s, adjusted.middle_s);
    keyframes[i].points = prepare_scan(drive.scans[keyframes[i].scan], keyframes[i].time_s, lidar, drive.robot.lidar,
                                       path, Tangent2::Zero());
    const Eigen::Matrix3d prior = Eigen::Vector3d::Constant(1.0 / (0.05 * 0.05)).asDiagonal();
    const IcpResult found = match_icp(keyframes[i].points, adjusted.pieces, noise, predicted, prior, icp);
    poses[i] = found.overlap > 0.3 ? found.pose : predicted;
    covariances[i] = adjusted.covariances[nearest] + (prior + found.information).inverse();
  });
  adjusted.keyframes = std::move(keyframes);
  adjusted.poses = std::move(poses);
  adjusted.covariances = std::move(covariances);
  return adjusted;
}

}  // namespace wainscot
