#include "graph/known/wall_errors.hpp"

#include <gtest/gtest.h>
#include <Eigen/Core>

#include "scanmatch/icp.hpp"
#include "tests/graph/known_scene.hpp"

namespace wainscot {
namespace {

/// A room of 4 x 3 m with a cupboard in a corner: six faces. The cupboard stands `aside_m` out.
Scene room(double aside_m) {
  return closed_walls(
      {{0.0, 0.0}, {4.0, 0.0}, {4.0, 3.0}, {1.0 + aside_m, 3.0}, {1.0 + aside_m, 2.0 - aside_m}, {0.0, 2.0 - aside_m}});
}

Eigen::Matrix3d errors_of(double aside_m) {
  LineMap walls;
  int node = 0;
  for (const Pose2& pose : {Pose2{1.0, 1.0, 0.0}, {2.5, 1.5, 1.0}, {3.0, 0.7, 2.0}}) {
    add_scan(walls, keyframe_at(room(0.0), pose).points, pose, kNoise, node++);
  }
  const Pose2 here{2.0, 1.0, 0.4};
  const std::vector<ScanPoint> seen = keyframe_at(room(aside_m), here).points;
  const IcpResult found = match_icp(seen, walls, kNoise, here, Eigen::Matrix3d::Zero());
  return wall_errors(seen, walls, kNoise, found.pose);
}

/// Of one scan it may be below zero.
double position_variance_m2(const Eigen::Matrix3d& covariance) { return covariance(0, 0) + covariance(1, 1); }

TEST(WallErrors, AWallThatStandsAsideShowsInThePoseItLeavesOpen) {
  const Eigen::Matrix3d right = errors_of(0.0);
  const Eigen::Matrix3d aside = errors_of(0.02);
  EXPECT_LT(right(2, 2), 1e-6);
  EXPECT_GT(aside(2, 2), 4.0 * right(2, 2));
  EXPECT_GT(position_variance_m2(aside), 4.0 * position_variance_m2(right));
  EXPECT_GT(position_variance_m2(aside), 0.0);
  // Two of six faces are off by 20 mm: they pull by a part of that.
  EXPECT_LT(position_variance_m2(aside), 0.02 * 0.02);
}

TEST(WallErrors, ThreeFacesTellNothing) {
  LineMap walls;
  const Scene corner = {{{4.0, 0.0}, {0.0, 0.0}}, {{0.0, 0.0}, {0.0, 3.0}}};
  const Pose2 here{1.5, 1.2, 0.3};
  add_scan(walls, keyframe_at(corner, here).points, here, kNoise, 0);
  EXPECT_TRUE(wall_errors(keyframe_at(corner, here).points, walls, kNoise, here).isZero());
}

}  // namespace
}  // namespace wainscot
