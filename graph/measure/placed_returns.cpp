#include "graph/measure/placed_returns.hpp"

#include "graph/compare/node_points.hpp"
#include "scanmatch/icp.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {

std::vector<std::vector<PlacedReturn>> placed_returns(const Map& map, Drives drives) {
  std::vector<LidarModel> lidars;
  for (const Drive& drive : drives) lidars.push_back(found_lidar(map, drive.robot));
  std::vector<std::vector<PlacedReturn>> placed(map.graph.nodes.size());
  for (std::size_t i = 0; i < placed.size(); ++i) {
    const Pose2& pose = map.graph.nodes[i].pose;
    const Eigen::Matrix2d rotation = pose.rotation();
    const auto number = static_cast<std::size_t>(map.graph.nodes[i].drive - 1);
    const LidarConstants& stated = drives[number].robot.lidar;
    const RangeNoise noise{stated.noise_m, stated.noise_per_m};
    std::vector<ScanPoint> points = node_points(map, drives[number], lidars[number], i);
    estimate_normals(points, noise);
    for (const ScanPoint& p : points) {
      if (!p.has_normal()) continue;
      placed[i].push_back({pose * Eigen::Vector2d(p.x_m, p.y_m), rotation * Eigen::Vector2d(p.normal_x, p.normal_y),
                           rotation * Eigen::Vector2d(p.beam_x, p.beam_y), across_variance(p, noise)});
    }
  }
  return placed;
}

}  // namespace wainscot
