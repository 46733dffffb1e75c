#include "graph/known/place_track.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/known_scene.hpp"

namespace wainscot {
namespace {

PlaceTrack track_of(const Pose2& pose, double sd_m, double sd_rad) {
  PlaceTrack track;
  track.pose = pose;
  track.covariance = covariance_of(sd_m, sd_rad);
  return track;
}

TEST(PlaceTrack, AMotionMovesThePoseAndItsUncertainty) {
  PlaceTrack track = track_of({1.0, 2.0, 0.5 * std::numbers::pi}, 0.01, 0.1);
  advance(track, {2.0, 0.0, 0.0}, covariance_of(0.02, 0.03), Tangent2::Zero(), {});
  EXPECT_NEAR(track.pose.x_m, 1.0, 1e-12);
  EXPECT_NEAR(track.pose.y_m, 4.0, 1e-12);
  EXPECT_NEAR(track.covariance(0, 0), 0.01 * 0.01 + 0.02 * 0.02, 1e-12);
  EXPECT_NEAR(track.covariance(1, 1), 0.01 * 0.01 + 0.02 * 0.02 + 0.2 * 0.2, 1e-12);  // 2 m by 0.1 rad
  EXPECT_NEAR(track.covariance(2, 2), 0.1 * 0.1 + 0.03 * 0.03, 1e-12);
}

TEST(PlaceTrack, ADelayIsWorthWhatTheSpeedChanges) {
  const LidarDelay delay{0.0, 0.02 * 0.02};
  PlaceTrack track = track_of({}, 0.01, 0.01);
  const Tangent2 faster(0.0, 0.0, 1.0);
  advance(track, {}, Eigen::Matrix3d::Zero(), faster, delay);
  EXPECT_NEAR(track.covariance(2, 2), 0.01 * 0.01 + 0.02 * 0.02, 1e-12);
  EXPECT_NEAR(track.with_delay.z(), 0.02 * 0.02, 1e-12);
  // The answer's time is late by the delay as well: there the robot is where it was sure to be.
  EXPECT_NEAR(track.covariance_at(faster, delay)(2, 2), 0.01 * 0.01, 1e-12);
}

TEST(PlaceTrack, AMatchMovesItToTheWalls) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  const Pose2 truth{0.5, -0.5, 0.7};
  PlaceTrack track = track_of(truth * Pose2{0.03, -0.02, 0.02}, 0.03, 0.03);
  const double before = track.covariance.trace();
  const MapMatch match = match_to_map(track, keyframe_at(crooked_room(), truth).points, map, kNoise);
  EXPECT_LT(apart_m(track.pose, truth), 0.005);
  EXPECT_LT(apart_rad(track.pose, truth), 0.003);
  EXPECT_LT(track.covariance.trace(), 0.1 * before);
  // By how far it was moved: (0.03^2 + 0.02^2 + 0.02^2) / 0.03^2, whose root what is left of the error above changes by
  // sqrt(5^2 + 3^2) / 30 at most.
  EXPECT_NEAR(std::sqrt(match.chi_squared), std::sqrt(17.0) / 3.0, std::sqrt(34.0) / 30.0);
  EXPECT_TRUE(match.agrees);
}

TEST(PlaceTrack, AHandThatMovesARobotAtRestIsNoticedThoughOdometryHoldsTheMatch) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  const Pose2 truth{0.5, -0.5, 0.7};
  const std::vector<ScanPoint> seen = keyframe_at(crooked_room(), truth).points;
  PlaceTrack moved = track_of(truth * Pose2{0.0, 0.0, 0.03}, 0.001, 0.001);
  EXPECT_FALSE(match_to_map(moved, seen, map, kNoise).agrees);
  PlaceTrack left = track_of(truth * Pose2{0.0005, 0.0, 0.001}, 0.001, 0.001);
  EXPECT_TRUE(match_to_map(left, seen, map, kNoise).agrees);
}

TEST(PlaceTrack, AMatchThatLeavesOdometryOutSaysHowFarAsideItLies) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  const Pose2 truth{0.5, -0.5, 0.7};
  const std::vector<ScanPoint> seen = keyframe_at(crooked_room(), truth).points;
  PlaceTrack slipped = track_of(truth * Pose2{-0.15, 0.0, 0.0}, 0.0005, 0.0005);
  const MapMatch match = match_to_map(slipped, seen, map, kNoise);
  EXPECT_LT(apart_m(slipped.pose, truth), 0.01);
  EXPECT_GT(match.aside.x_m, 0.06) << "the walls draw it along even where odometry holds it";
  EXPECT_LT(match.aside.x_m, 0.16);
  PlaceTrack rolled = track_of(truth * Pose2{-0.002, 0.0, 0.0}, 0.003, 0.003);
  EXPECT_EQ(match_to_map(rolled, seen, map, kNoise).aside.translation().norm(), 0.0);
}

/// Its right wall and its step stand 3 cm further out than in the crooked room.
Scene another_crooked_room() {
  return closed_walls({{-2.5, -2.0}, {2.53, -2.0}, {2.53, 0.83}, {1.3, 0.83}, {1.3, 2.0}, {-1.5, 2.0}, {-2.5, 1.2}});
}

TEST(PlaceTrack, ManyScansOfWallsThatErrMakeNoSurePose) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  const Pose2 truth{0.5, -0.5, 0.7};
  const auto stated = [&](const Scene& scene) {
    PlaceTrack track = track_of(truth, 0.03, 0.03);
    for (int i = 0; i < 50; ++i) match_to_map(track, keyframe_at(scene, truth).points, map, kNoise);
    EXPECT_LT(std::sqrt(track.covariance(2, 2)), 0.0005);
    return track.covariance_at(Tangent2::Zero(), {});
  };
  const Eigen::Matrix3d right = stated(crooked_room());
  const Eigen::Matrix3d aside = stated(another_crooked_room());
  EXPECT_LT(std::sqrt(right(2, 2)), 0.001);
  EXPECT_GT(std::sqrt(aside(2, 2)), 0.001);
  EXPECT_GT(std::sqrt(aside(0, 0) + aside(1, 1)), 0.002);
}

TEST(PlaceTrack, WhereTheMapSaysTooLittleOdometryGoesOn) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  const Pose2 outside{12.0, 6.0, 0.0};
  PlaceTrack track = track_of(outside, 0.03, 0.03);
  EXPECT_EQ(match_to_map(track, keyframe_at(crooked_room(), {}).points, map, kNoise).chi_squared, 0.0);
  EXPECT_EQ(track.pose.x_m, outside.x_m);
  EXPECT_EQ(track.covariance, covariance_of(0.03, 0.03));
}

TEST(PlaceTrack, AMatchShowsTheDelay) {
  PlaceTrack before = track_of({}, 0.0, 0.0);
  before.covariance = covariance_of(1e-3, 1e-3);
  const LidarDelay delay{0.01, 0.02 * 0.02};
  advance(before, {}, Eigen::Matrix3d::Zero(), {0.0, 0.0, 1.0}, delay);
  PlaceTrack after = before;
  after.pose.heading_rad = 0.015;  // at a radian a second: the scans came 15 ms later
  after.covariance = covariance_of(1e-3, 1e-4);
  const LidarDelay learned = learned_delay(delay, before, after);
  EXPECT_NEAR(learned.s, 0.025, 0.0005);
  EXPECT_LT(learned.variance_s2, 0.01 * delay.variance_s2);
  EXPECT_GT(learned.variance_s2, 0.0);
}

TEST(PlaceTrack, OnlyTheLastViewsAreWeighed) {
  PlaceTrack track;
  for (int i = 1; i <= 5; ++i) weigh(track, {{static_cast<double>(i), 1.0, 10.0}, 0.5}, 3);
  EXPECT_EQ(track.views.size(), 3U);
  EXPECT_DOUBLE_EQ(track.fit.on_wall, 3.0 + 4.0 + 5.0);
  EXPECT_DOUBLE_EQ(track.fit.all, 30.0);
  EXPECT_DOUBLE_EQ(track.news, 1.5);
}

}  // namespace
}  // namespace wainscot
