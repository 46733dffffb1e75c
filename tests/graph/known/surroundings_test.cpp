#include "graph/known/surroundings.hpp"

#include <gtest/gtest.h>

#include "graph/track/match_surprise.hpp"
#include "tests/graph/known_scene.hpp"
#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

TEST(Surroundings, ScansAreJoinedBetterThanOdometrySays) {
  const std::vector<Pose2> poses{{-1.0, -0.5, 0.1}, {-0.7, -0.4, 0.2}, {-0.3, -0.3, 0.3}, {0.1, -0.1, 0.5}};
  Surroundings seen(kNoise, 3.0);
  EXPECT_TRUE(seen.empty());
  std::mt19937 random(1);
  for (std::size_t i = 0; i < poses.size(); ++i) {
    const Pose2 moved = i == 0 ? Pose2{} : between(poses[i - 1], poses[i]) * random_error(random, 0.02, 0.02);
    EXPECT_LT(seen.add(keyframe_at(crooked_room(), poses[i]).points, moved, covariance_of(0.02, 0.02), true), kNoNoise);
  }
  const std::vector<MapView> views = seen.views_from_here();
  ASSERT_EQ(views.size(), poses.size());
  for (std::size_t i = 0; i < poses.size(); ++i) {
    EXPECT_LT(apart_m(views[i].pose, between(poses.back(), poses[i])), 0.01);
    EXPECT_LT(apart_rad(views[i].pose, between(poses.back(), poses[i])), 0.005);
  }
  EXPECT_GT(seen.walls_from_here().lines().size(), 30U);
}

TEST(Surroundings, ARobotThatIsCarriedIsNoticed) {
  Surroundings seen(kNoise, 3.0);
  seen.add(keyframe_at(crooked_room(), {-1.0, -0.5, 0.1}).points, {}, covariance_of(0.002, 0.002), true);
  EXPECT_GT(seen.add(keyframe_at(crooked_room(), {-0.8, -0.4, 0.1}).points, {}, covariance_of(0.002, 0.002), true),
            kNoNoise);
}

// Slowly enough for the scans to follow, while the wheels are certain to stand still.
TEST(Surroundings, ARobotThatIsCarriedSlowlyIsNoticed) {
  Surroundings seen(kNoise, 3.0);
  seen.add(keyframe_at(crooked_room(), {-1.0, -0.5, 0.1}).points, {}, covariance_of(0.001, 0.001), true);
  EXPECT_LT(seen.add(keyframe_at(crooked_room(), {-1.0, -0.5, 0.1}).points, {}, covariance_of(0.001, 0.001), true),
            kNoNoise);
  EXPECT_GT(seen.add(keyframe_at(crooked_room(), {-0.92, -0.5, 0.1}).points, {}, covariance_of(0.001, 0.001), true),
            kNoNoise);
}

TEST(Surroundings, WhatLiesFarBackIsForgotten) {
  Surroundings seen(kNoise, 1.0);
  for (int i = 0; i < 8; ++i) {
    seen.add(keyframe_at(crooked_room(), {-1.2 + 0.3 * i, -0.5, 0.0}).points, {i == 0 ? 0.0 : 0.3, 0.0, 0.0},
             covariance_of(0.01, 0.01), true);
  }
  EXPECT_EQ(seen.views_from_here().size(), 4U);
}

}  // namespace
}  // namespace wainscot
