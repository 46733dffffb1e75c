#include "graph/measure/placed_returns.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

// A wall at x = 3 in the map's frame, seen from a node at (1, 2) that looks along y; the lidar sits 0.1 m before it.
TEST(PlacedReturnsTest, StandWhereTheWallIs) {
  Map map;
  map.graph.nodes.resize(1);
  map.graph.nodes[0].pose = {1.0, 2.0, std::numbers::pi / 2.0};
  Drive drive;
  drive.robot.lidar.x_m = 0.1;
  drive.robot.lidar.noise_m = 0.01;
  Scan scan;
  for (int i = -40; i <= 40; ++i) {
    const double direction = i * std::numbers::pi / 180.0;  // in the map's frame
    const double angle = direction - std::numbers::pi / 2.0;
    scan.returns.push_back({static_cast<float>(angle), static_cast<float>(2.0 / std::cos(direction)), 0.0F});
  }
  drive.scans = {scan};
  const auto placed = placed_returns(map, drive);
  ASSERT_EQ(placed.size(), 1U);
  ASSERT_GT(placed[0].size(), 60U);
  for (const PlacedReturn& r : placed[0]) {
    EXPECT_NEAR(r.at_m.x(), 3.0, 1e-5);
    EXPECT_NEAR(r.normal.x(), -1.0, 1e-3);
    EXPECT_NEAR(std::atan2(r.beam.y(), r.beam.x()), std::atan2(r.at_m.y() - 2.1, r.at_m.x() - 1.0), 1e-4);
    const double cosine = r.beam.x();
    EXPECT_NEAR(r.variance_m2, 1e-4 * cosine * cosine + 1.6e-5, 1e-6);
  }
}

}  // namespace
}  // namespace wainscot
