#include "graph/compare/node_points.hpp"

#include <cmath>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>

#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

TEST(NodePoints, TheLidarIsTheOneThatWasFound) {
  Map map = sample_map();
  map.constants.push_back({"lidar.x_m", "m", 0.04, 0.01, 0.05, 0.001, true});
  Robot robot;
  robot.lidar.y_m = 0.02;
  const LidarModel lidar = found_lidar(map, robot);
  EXPECT_DOUBLE_EQ(lidar.mounting.x_m, 0.05);
  EXPECT_DOUBLE_EQ(lidar.mounting.y_m, 0.02);
  EXPECT_DOUBLE_EQ(lidar.mounting.heading_rad, 0.431 * std::numbers::pi / 180.0);
  EXPECT_DOUBLE_EQ(lidar.range_scale, 1.001);
}

// A robot that drives at 1 m/s towards a wall 4 m ahead, and looks there at 0, 0.1 and 0.2 s: the wall stays where it
// is.
TEST(NodePoints, AreCorrectedAlongTheTrajectory) {
  Drive drive;
  drive.scans = {{10.0, {{0.0F, 4.0F, 0.0F}, {0.0F, 3.9F, 0.1F}, {0.0F, 3.8F, 0.2F}}}};
  Map map;
  for (int i = 0; i < 3; ++i) {
    TrajectoryRow row;
    row.time_s = 10.0 + 0.15 * i;
    row.pose.x_m = 2.0 + 0.15 * i;
    map.trajectory.push_back(row);
  }
  Node node;
  node.time_s = 10.0;
  node.pose.x_m = 2.0;
  map.graph.nodes = {node};
  const std::vector<ScanPoint> points = node_points(map, drive, found_lidar(map, drive.robot), 0);
  ASSERT_EQ(points.size(), 3U);
  for (const ScanPoint& point : points) {
    EXPECT_NEAR(point.x_m, 4.0F, 1e-4F);
    EXPECT_NEAR(point.y_m, 0.0F, 1e-4F);
  }
}

TEST(NodePoints, NothingIsKnownOfTheMotionInAGap) {
  Drive drive;
  drive.scans = {{10.0, {{0.0F, 4.0F, 0.0F}, {0.0F, 4.0F, 0.2F}}}};
  Map map;
  map.trajectory = {{10.0, {0.0, 0.0, 0.0}, {}, 1}, {15.0, {3.0, 0.0, 1.0}, {}, 1}};
  map.graph.nodes = {Node{}};
  map.graph.nodes[0].time_s = 10.0;
  for (const ScanPoint& point : node_points(map, drive, found_lidar(map, drive.robot), 0)) {
    EXPECT_FLOAT_EQ(point.x_m, 4.0F);
  }
}

}  // namespace
}  // namespace wainscot
