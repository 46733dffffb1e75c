#include "graph/known/map_views.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "tests/graph/known_scene.hpp"

namespace wainscot {
namespace {

/// A map of two drives of one node each in the crooked room, the robot at rest.
struct TwoNodes {
  std::vector<Pose2> poses{{-1.2, -0.6, 0.3}, {1.4, -0.8, 2.5}};
  Map map;
  std::vector<Drive> drives{2};

  TwoNodes() {
    for (std::size_t i = 0; i < 2; ++i) {
      const double time_s = 10.0 * static_cast<double>(i);
      drives[i].robot.lidar = still_lidar();
      drives[i].scans = {scan_at(crooked_room(), poses[i], time_s)};
      Node node;
      node.time_s = time_s;
      node.pose = poses[i];
      node.drive = static_cast<int>(i) + 1;
      map.graph.nodes.push_back(node);
      map.trajectory.push_back({time_s, poses[i], poses[i], node.drive});
    }
    map.grid = grid_of({{poses[0], keyframe_at(crooked_room(), poses[0]).points},
                        {poses[1], keyframe_at(crooked_room(), poses[1]).points}});
  }
};

TEST(MapViews, EachNodeSawItsOwnDrivesScan) {
  const TwoNodes two;
  const std::vector<MapView> views = map_views(two.map, two.drives);
  ASSERT_EQ(views.size(), 2U);
  for (std::size_t i = 0; i < 2; ++i) {
    EXPECT_EQ(views[i].pose.x_m, two.poses[i].x_m);
    ASSERT_EQ(views[i].points.size(), two.drives[i].scans[0].returns.size());
    std::size_t with_normal = 0;
    for (std::size_t k = 0; k < views[i].points.size(); ++k) {
      const ScanPoint& point = views[i].points[k];
      EXPECT_NEAR(std::hypot(point.x_m, point.y_m), two.drives[i].scans[0].returns[k].range_m, 1e-4);
      with_normal += point.has_normal() ? 1U : 0U;
    }
    EXPECT_GT(with_normal, views[i].points.size() / 2);
  }
}

TEST(MapViews, TogetherTheyLieInOneFrame) {
  const TwoNodes two;
  const std::vector<MapView> views = map_views(two.map, two.drives);
  const std::vector<ScanPoint> all = together(views, 100000);
  std::size_t with_normal = 0;
  for (const MapView& view : views) {
    for (const ScanPoint& point : view.points) with_normal += point.has_normal() ? 1U : 0U;
  }
  ASSERT_EQ(all.size(), with_normal);
  const Scene room = crooked_room();
  for (const ScanPoint& point : all) {
    double nearest = 1e9;
    for (const auto& [a, b] : room) {
      const Eigen::Vector2d along = (b - a).normalized();
      const Eigen::Vector2d from = Eigen::Vector2d(point.x_m, point.y_m) - a;
      const double at = std::clamp(from.dot(along), 0.0, (b - a).norm());
      nearest = std::min(nearest, (from - at * along).norm());
    }
    EXPECT_LT(nearest, 1e-3);
    EXPECT_LT(point.beam_x * point.normal_x + point.beam_y * point.normal_y, 0.0F) << "normals point to the lidar";
  }
}

TEST(MapViews, TogetherTheyAreThinnedEvenly) {
  const TwoNodes two;
  const std::vector<MapView> views = map_views(two.map, two.drives);
  const std::vector<ScanPoint> all = together(views, 100000);
  const std::vector<ScanPoint> some = together(views, 100);
  EXPECT_LE(some.size(), 100U);
  EXPECT_GT(some.size(), 50U);
  const std::size_t stride = (all.size() + 99) / 100;
  for (std::size_t i = 0; i < some.size(); ++i) EXPECT_EQ(some[i].x_m, all[i * stride].x_m);
}

TEST(MapViews, AScanIsFoundInTheMapThatTheyMake) {
  const TwoNodes two;
  const KnownMap known = known_map(two.map, two.drives, map_views(two.map, two.drives));
  EXPECT_GT(known.lines().lines().size(), 30U);
  const Pose2 pose{0.5, -0.5, 0.7};
  EXPECT_GT(known.fit(keyframe_at(crooked_room(), pose).points, pose).explained(), 0.9);
}

}  // namespace
}  // namespace wainscot
