#include "core/pose2.hpp"

#include <cmath>
#include <numbers>
#include <random>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

void expect_same(const Pose2& a, const Pose2& b, double tolerance) {
  EXPECT_NEAR(a.x_m, b.x_m, tolerance);
  EXPECT_NEAR(a.y_m, b.y_m, tolerance);
  EXPECT_NEAR(a.heading_rad, b.heading_rad, tolerance);
}

class RandomPose2 : public testing::Test {
 protected:
  Pose2 pose(double angle_limit_rad = 3.1) {
    std::uniform_real_distribution<double> place(-5.0, 5.0);
    std::uniform_real_distribution<double> angle(-angle_limit_rad, angle_limit_rad);
    return {place(random_), place(random_), angle(random_)};
  }

  std::mt19937 random_{42};
};

TEST(WrapAngle, KeepsToTheHalfOpenInterval) {
  EXPECT_DOUBLE_EQ(wrap_angle(std::numbers::pi), std::numbers::pi);
  EXPECT_DOUBLE_EQ(wrap_angle(-std::numbers::pi), std::numbers::pi);
  EXPECT_DOUBLE_EQ(wrap_angle(0.0), 0.0);
  EXPECT_NEAR(wrap_angle(7.0), 7.0 - 2 * std::numbers::pi, 1e-15);
  EXPECT_NEAR(wrap_angle(-7.0), 2 * std::numbers::pi - 7.0, 1e-15);
  EXPECT_NEAR(wrap_angle(100.0 * 2 * std::numbers::pi + 0.5), 0.5, 1e-12);
}

TEST_F(RandomPose2, GroupLawsHold) {
  for (int i = 0; i < 200; ++i) {
    const Pose2 a = pose();
    const Pose2 b = pose();
    const Pose2 c = pose();
    expect_same((a * b) * c, a * (b * c), 1e-12);
    expect_same(a * inverse(a), {}, 1e-12);
    expect_same(a * between(a, b), b, 1e-12);
    const Eigen::Vector2d point(1.5, -0.5);
    EXPECT_NEAR(((a * b) * point - a * (b * point)).norm(), 0.0, 1e-12);
  }
}

TEST_F(RandomPose2, LogInvertsExpAndExpInvertsLog) {
  for (int i = 0; i < 500; ++i) {
    const Pose2 any = pose(3.1);
    expect_same(exp(log(any)), any, 1e-10);
    const Tangent2 tangent(any.x_m, any.y_m, any.heading_rad);
    EXPECT_NEAR((log(exp(tangent)) - tangent).norm(), 0.0, 1e-9) << tangent.transpose();
  }
}

// 2026-11-26: a heading that a matcher found a turn away from what odometry had counted made scans between nodes spin.
TEST_F(RandomPose2, LogTakesTheShortWayHoweverManyTurnsWereCounted) {
  for (int i = 0; i < 200; ++i) {
    const Pose2 any = pose(3.1);
    for (const int turns : {-2, -1, 1, 3}) {
      const Pose2 wound{any.x_m, any.y_m, any.heading_rad + 2 * std::numbers::pi * turns};
      EXPECT_NEAR((log(wound) - log(any)).norm(), 0.0, 1e-9);
    }
  }
}

TEST_F(RandomPose2, AdjointMovesTangentsBetweenFrames) {
  for (int i = 0; i < 200; ++i) {
    const Pose2 p = pose();
    const Pose2 t = pose(2.0);
    const Tangent2 tangent(0.3 * t.x_m, 0.3 * t.y_m, t.heading_rad);
    expect_same(exp(adjoint(p) * tangent), p * exp(tangent) * inverse(p), 1e-10);
  }
}

// Errors drawn about a pose, and what they are of the pose further on.
TEST_F(RandomPose2, CarriedIsTheCovarianceFurtherOn) {
  const Tangent2 small(1e-4, -2e-4, 3e-4);
  const Pose2 at{1.0, 2.0, 0.7};
  const Pose2 relative{0.4, -3.0, 2.0};
  const Tangent2 further = log(between(at * relative, at * exp(small) * relative));
  const Eigen::Matrix3d covariance = small * small.transpose();
  EXPECT_LT((carried(covariance, relative) - further * further.transpose()).norm(), 1e-3 * further.squaredNorm());
}

TEST(Pose2, ExpFollowsACircle) {
  // A quarter of a circle of radius 2 m to the left, beginning along x.
  expect_same(exp({std::numbers::pi, 0.0, std::numbers::pi / 2}), {2.0, 2.0, std::numbers::pi / 2}, 1e-14);
  // And a half to the right.
  expect_same(exp({2 * std::numbers::pi, 0.0, -std::numbers::pi}), {0.0, -4.0, -std::numbers::pi}, 1e-14);
}

TEST(Pose2, ExpIsSmoothWhereTheSeriesTakesOver) {
  for (const double angle : {0.0, 1e-12, 9.99e-5, 1.0001e-4}) {
    const Pose2 p = exp({1.0, 0.0, angle});
    // Taylor's series of sin(a)/a and (1 - cos a)/a, next terms below 1e-18.
    EXPECT_NEAR(p.x_m, 1.0 - angle * angle / 6.0, 1e-16);
    EXPECT_NEAR(p.y_m, angle / 2.0 - angle * angle * angle / 24.0, 1e-16);
  }
}

TEST(Pose2, InterpolatesAlongTheArc) {
  const Pose2 a{1.0, 1.0, 0.0};
  const Pose2 b = a * exp({std::numbers::pi, 0.0, std::numbers::pi / 2});
  expect_same(interpolate(a, b, 0.0), a, 1e-15);
  expect_same(interpolate(a, b, 1.0), b, 1e-14);
  expect_same(interpolate(a, b, 0.5), a * exp({std::numbers::pi / 2, 0.0, std::numbers::pi / 4}), 1e-14);
  expect_same(interpolate(a, b, 2.0), a * exp({2 * std::numbers::pi, 0.0, std::numbers::pi}), 1e-14);
}

TEST(Pose2, PolygonDriveClosesInPositionThenInHeading) {
  // 1 m, left 90 degrees, 1 m, left 135, root 2 m: back in place; a last left 135: back in heading after one whole
  // turn.
  Pose2 pose;
  pose = pose * exp({1, 0, 0}) * exp({0, 0, std::numbers::pi / 2}) * exp({1, 0, 0}) *
         exp({0, 0, 3 * std::numbers::pi / 4});
  EXPECT_NEAR(pose.heading_rad, 3.9270, 5e-5);
  pose = pose * exp({std::sqrt(2.0), 0, 0});
  EXPECT_NEAR(pose.translation().norm(), 0.0, 1e-15);
  pose = pose * exp({0, 0, 3 * std::numbers::pi / 4});
  EXPECT_NEAR(pose.heading_rad, 2 * std::numbers::pi, 1e-14);
}

}  // namespace
}  // namespace wainscot
