#include "graph/known/known_map.hpp"

#include <gtest/gtest.h>

#include "tests/graph/known_scene.hpp"

namespace wainscot {
namespace {

LineMap walls_seen_from(const Scene& scene, const Pose2& pose) {
  LineMap walls;
  add_scan(walls, keyframe_at(scene, pose).points, {}, kNoise, 0);
  return walls;
}

TEST(KnownMap, AScanFitsWhereItWasTakenAndContradictsElsewhere) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  const Pose2 pose{0.5, -0.5, 0.7};
  const std::vector<ScanPoint> points = keyframe_at(crooked_room(), pose).points;
  const MapFit right = map.fit(points, pose);
  EXPECT_GT(right.explained(), 0.95);
  EXPECT_LT(right.contradicted(), 0.01);
  EXPECT_LT(right.misfit(), 0.03);
  EXPECT_DOUBLE_EQ(right.all, static_cast<double>(points.size()));

  // Half a metre beside, one wall stands in the free room and the opposite one behind the map's.
  const MapFit beside = map.fit(points, Pose2{1.0, -0.5, 0.7});
  EXPECT_GT(beside.contradicted(), 0.3);
  EXPECT_GT(beside.misfit(), 0.3);
}

TEST(KnownMap, BeamsThroughAWallContradict) {
  // The map knows a smaller room than the robot sees: every return lies behind the map's walls, where it saw nothing.
  const Scene small = closed_walls({{-1.0, -1.0}, {1.0, -1.0}, {1.0, 1.0}, {-1.0, 1.0}});
  const Scene large = closed_walls({{-1.5, -1.5}, {1.5, -1.5}, {1.5, 1.5}, {-1.5, 1.5}});
  const KnownMap map = known_scene(small, {{0.1, 0.2, 0.0}, {-0.3, -0.2, 0.5}});
  const MapFit fit = map.fit(keyframe_at(large, {0.1, 0.0, 0.2}).points, {0.1, 0.0, 0.2});
  EXPECT_GT(fit.contradicted(), 0.8);  // all but some near the corners
}

TEST(KnownMap, WhatTheMapNeverSawCountsAThird) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  const std::vector<ScanPoint> points = keyframe_at(crooked_room(), {}).points;
  const MapFit outside = map.fit(points, {10.0, 5.0, 0.0});
  EXPECT_EQ(outside.on_wall, 0.0);
  EXPECT_EQ(outside.against, 0.0);
  EXPECT_NEAR(outside.misfit(), 1.0 / 3.0, 1e-12);
}

TEST(KnownMap, FitsAddUp) {
  MapFit sum{8.0, 1.0, 10.0};
  sum += {2.0, 3.0, 10.0};
  EXPECT_DOUBLE_EQ(sum.explained(), 0.5);
  EXPECT_DOUBLE_EQ(sum.contradicted(), 0.2);
  sum -= {2.0, 3.0, 10.0};
  EXPECT_DOUBLE_EQ(sum.explained(), 0.8);
  EXPECT_DOUBLE_EQ(MapFit{}.misfit(), 1.0);
}

TEST(KnownMap, ThePlaceIsFoundFromNothingAtAnyHeading) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  for (const double heading : {0.1, 1.9, -2.4, 3.1}) {
    const Pose2 pose{0.7, -1.1, heading};
    const auto places = map.places_like(walls_seen_from(crooked_room(), pose));
    ASSERT_FALSE(places.empty());
    EXPECT_LT(apart_m(places.front().pose, pose), 0.15);
    EXPECT_LT(apart_rad(places.front().pose, pose), 0.06);
  }
}

TEST(KnownMap, BothOfTwoEqualRoomsAreNamed) {
  const Pose2 other{12.0, 1.0, 0.5};
  std::vector<Pose2> poses = poses_in_crooked_room();
  for (const Pose2& pose : poses_in_crooked_room(other)) poses.push_back(pose);
  const KnownMap map = known_scene(both(crooked_room(), moved(crooked_room(), other)), poses);
  const Pose2 pose{0.7, -1.1, 1.0};
  const auto places = map.places_like(walls_seen_from(crooked_room(), pose));
  ASSERT_GE(places.size(), 2U);
  int found = 0;
  for (std::size_t i = 0; i < 2; ++i) {
    found += apart_m(places[i].pose, pose) < 0.15 || apart_m(places[i].pose, other * pose) < 0.15 ? 1 : 0;
  }
  EXPECT_EQ(found, 2);
  EXPECT_GT(apart_m(places[0].pose, places[1].pose), 10.0);
}

}  // namespace
}  // namespace wainscot
