#include "graph/known/map_views.hpp"

#include <algorithm>
#include <cstddef>
#include <utility>

#include <Eigen/Core>

#include "graph/compare/node_points.hpp"

namespace wainscot {

std::vector<MapView> map_views(const Map& map, Drives drives) {
  std::vector<MapView> views;
  for (std::size_t i = 0; i < map.graph.nodes.size(); ++i) {
    const Node& node = map.graph.nodes[i];
    const Drive& drive = drives[static_cast<std::size_t>(node.drive) - 1];
    std::vector<ScanPoint> points = node_points(map, drive, found_lidar(map, drive.robot), i);
    estimate_normals(points, range_noise(drive.robot.lidar));
    views.push_back({node.pose, std::move(points)});
  }
  return views;
}

std::vector<ScanPoint> together(std::span<const MapView> views, std::size_t most) {
  std::vector<ScanPoint> all;
  for (const MapView& view : views) {
    const Eigen::Matrix2f rotation = view.pose.rotation().cast<float>();
    const Eigen::Vector2f place = view.pose.translation().cast<float>();
    for (ScanPoint p : view.points) {
      if (!p.has_normal()) continue;
      const Eigen::Vector2f end = place + rotation * Eigen::Vector2f(p.x_m, p.y_m);
      const Eigen::Vector2f beam = rotation * Eigen::Vector2f(p.beam_x, p.beam_y);
      const Eigen::Vector2f normal = rotation * Eigen::Vector2f(p.normal_x, p.normal_y);
      p.x_m = end.x();
      p.y_m = end.y();
      p.beam_x = beam.x();
      p.beam_y = beam.y();
      p.normal_x = normal.x();
      p.normal_y = normal.y();
      all.push_back(p);
    }
  }
  std::vector<ScanPoint> some;
  const std::size_t stride = std::max<std::size_t>(1, (all.size() + most - 1) / most);
  for (std::size_t i = 0; i < all.size(); i += stride) some.push_back(all[i]);
  return some;
}

KnownMap known_map(const Map& map, Drives drives, const std::vector<MapView>& views) {
  return {map.grid, views, range_noise(drives.back().robot.lidar)};
}

}  // namespace wainscot
