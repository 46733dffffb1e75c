#include "graph/track/likely_place.hpp"

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/tracked_room.hpp"

namespace wainscot {
namespace {

const std::vector<Pose2> kViews{{-0.4, -0.3, 0.2}, {-0.2, -0.3, 0.4}, {0.0, -0.2, 0.6}};

/// Where a scan from `truth` is put that odometry says was taken at `predicted`, to `sd_m` and `sd_rad`.
Pose2 chosen(const Scene& scene, const Pose2& truth, const Pose2& predicted, double sd_m, double sd_rad) {
  const TrackedRoom room(scene, kViews);
  const LocalWalls walls = room.walls();
  PredictedStep step;
  step.to_s = 1.0;
  step.predicted = predicted;
  step.covariance = covariance_of(sd_m, sd_rad);
  const std::vector<ScanPoint> points = keyframe_at(scene, truth).points;
  const IcpResult first = match_icp(points, walls.lines, walls.noise, predicted, step.covariance.inverse(), {});
  return most_likely_place(points, walls, step, {}, first).pose;
}

TEST(LikelyPlace, IsOdometrysWhereThatFits) {
  const Pose2 truth{0.3, -0.1, 0.8};
  EXPECT_LT(apart_m(chosen(crooked_room(), truth, truth * Pose2{0.01, -0.01, 0.01}, 0.01, 0.01), truth), 0.005);
}

TEST(LikelyPlace, IsFoundAfterASlide) {
  const Pose2 truth{0.3, -0.1, 0.8};
  EXPECT_LT(apart_m(chosen(crooked_room(), truth, truth * Pose2{0.7, 0.1, 0.0}, 0.01, 0.01), truth), 0.01);
}

TEST(LikelyPlace, IsFoundAfterATurnByHand) {
  const Pose2 truth{0.3, -0.1, 0.8};
  const Pose2 found = chosen(crooked_room(), truth, truth * Pose2{0.1, 0.0, 1.2}, 0.01, 0.01);
  EXPECT_LT(apart_m(found, truth), 0.01);
  EXPECT_LT(apart_rad(found, truth), 0.01);
}

// What was driven after the turn is turned with it: 1.3 m on, but 1.1 rad further to the right.
TEST(LikelyPlace, IsFoundWhereATurnSentTheRobotElsewhere) {
  const Pose2 from = kViews.back();
  const Pose2 step{1.3, 0.0, 0.1};
  const Pose2 truth = from * Pose2{0.0, 0.0, -1.1} * step;
  const Pose2 predicted = from * step;
  ASSERT_GT(apart_m(truth, predicted), 1.2) << "further than a hand pushes";
  EXPECT_LT(apart_m(chosen(crooked_room(), truth, predicted, 0.01, 0.01), truth), 0.01);
}

// As far away, but not where a turn leads: that it looks the same is more likely.
TEST(LikelyPlace, IsNoneThatATurnDoesNotLeadTo) {
  const Pose2 from = kViews.back();
  const Pose2 predicted = from * Pose2{1.3, 0.0, 0.1};
  const Pose2 truth = predicted * Pose2{-1.3, -0.2, 0.0};
  EXPECT_GT(apart_m(chosen(crooked_room(), truth, predicted, 0.01, 0.01), truth), 0.1);
}

// Along a corridor every place fits: odometry's word is as good as any.
TEST(LikelyPlace, AlongACorridorIsOdometrys) {
  const Scene corridor{{{-60.0, -0.8}, {60.0, -0.8}}, {{60.0, 0.8}, {-60.0, 0.8}}};
  const Pose2 truth{0.9, 0.1, 0.05};
  const Pose2 found = chosen(corridor, truth, {1.3, 0.1, 0.05}, 0.02, 0.02);
  EXPECT_NEAR(found.x_m, 1.3, 0.05);
  EXPECT_NEAR(found.y_m, 0.1, 0.01);
}

}  // namespace
}  // namespace wainscot
