#include "graph/adjust/return_factor.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// A wall 2 m ahead of the map's origin, seen from a robot that is turned and moves.
struct Seen {
  Line line;
  MeasuringNode node;

  Seen() {
    line.anchor = {2.0, 0.1};
    line.normal = {-1.0, 0.0};
    line.set_fit(0.0, 0.0);
    node.pose = {0.3, -0.2, 0.25};
    node.to_robot = node.pose.rotation().transpose();
    node.velocity = {0.3, 0.0, 0.2};
    node.lidar_m = {0.05, 0.02};
    node.noise = {0.01, 0.0};
  }
  /// Of the beam to (2, y) of the map, lengthened by `longer_m`.
  ScanPoint point(double y, double longer_m) const {
    const Eigen::Vector2d on_wall = inverse(node.pose) * Eigen::Vector2d(2.0, y);
    const Eigen::Vector2d beam = (on_wall - node.lidar_m).normalized();
    const Eigen::Vector2d at = on_wall + longer_m * beam;
    const Eigen::Vector2d normal = node.to_robot * line.normal;
    return {static_cast<float>(at.x()),
            static_cast<float>(at.y()),
            static_cast<float>(beam.x()),
            static_cast<float>(beam.y()),
            2.0F,
            static_cast<float>(normal.x()),
            static_cast<float>(normal.y()),
            0.04F,
            0.0F};
  }
};

TEST(ReturnFactor, AReturnOnItsPieceHasNoResidual) {
  const Seen seen;
  const ReturnFactor factor = return_factor(seen.point(0.2, 0.0), seen.line, seen.node, 2.5);
  EXPECT_NEAR(factor.residual_m, 0.0, 1e-6);
  EXPECT_NEAR(factor.across_m, 0.0, 1e-6);
  EXPECT_NEAR(factor.robust, 1.0, 1e-6);
}

TEST(ReturnFactor, DerivativesAreThoseOfTheDistance) {
  const Seen seen;
  const ScanPoint p = seen.point(0.2, 0.0);
  const ReturnFactor factor = return_factor(p, seen.line, seen.node, 2.5);
  constexpr double kStep = 1e-3;
  for (int i = 0; i < 3; ++i) {
    Seen moved = seen;
    Tangent2 step = Tangent2::Zero();
    step[i] = kStep;
    moved.node.pose = seen.node.pose * exp(step);
    moved.node.to_robot = moved.node.pose.rotation().transpose();
    const double found = return_factor(p, seen.line, moved.node, 2.5).residual_m;
    EXPECT_NEAR(found / kStep, factor.by_pose[i], 2e-3) << i;
  }
  // A motion of the lidar on the robot acts like one of the robot, but turns about the lidar.
  EXPECT_DOUBLE_EQ(factor.by_lidar[kMountingX], factor.by_pose[0]);
  EXPECT_DOUBLE_EQ(factor.by_lidar[kMountingY], factor.by_pose[1]);
  Line moved = seen.line;
  moved.set_fit(kStep, 0.0);
  EXPECT_NEAR(return_factor(p, moved, seen.node, 2.5).residual_m / kStep, factor.by_piece[0], 1e-3);
  moved.set_fit(0.0, kStep);
  EXPECT_NEAR(return_factor(p, moved, seen.node, 2.5).residual_m / kStep, factor.by_piece[1], 1e-3);
  const double longer = return_factor(seen.point(0.2, kStep), seen.line, seen.node, 2.5).residual_m;
  EXPECT_NEAR(longer / kStep, factor.by_lidar[kRangeOffset], 1e-3);
  EXPECT_NEAR(factor.by_piece[2], -factor.by_lidar[kRangeOffset], 1e-12);
  EXPECT_NEAR(factor.by_lidar[kSweepScale], 0.04 * factor.by_pose.dot(seen.node.velocity), 1e-6);
}

TEST(ReturnFactor, AnOutlierHasLittleWeight) {
  const Seen seen;
  const ReturnFactor near = return_factor(seen.point(0.2, 0.0), seen.line, seen.node, 2.5);
  const ReturnFactor far = return_factor(seen.point(0.2, 0.3), seen.line, seen.node, 2.5);
  EXPECT_LT(far.weight, 0.02 * near.weight);
  EXPECT_NEAR(far.weight * far.robust, near.weight, 1e-6 * near.weight);
}

}  // namespace
}  // namespace wainscot
