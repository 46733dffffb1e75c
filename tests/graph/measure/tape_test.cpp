#include "graph/measure/tape.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "tests/graph/tape_room.hpp"

namespace wainscot {
namespace {

TapeMeasure measured(const MeasurableMap& map, const Tape& tape) {
  const TapeAnswer answer = measure_tape(map, tape);
  EXPECT_TRUE(answer.measure);
  return answer.measure.value_or(TapeMeasure());
}

TEST(TapeTest, AcrossARoom) {
  const TapeRoom room;
  const TapeMeasure width = measured(room.measurable(), {{0.1, 1.4}, {3.95, 1.6}});
  EXPECT_EQ(width.kind, TapeKind::across);
  EXPECT_NEAR(width.distance_m, 4.0, 1e-4);
  EXPECT_NEAR(width.by_range_offset, 2.0, 1e-3);
  EXPECT_NEAR(width.from_m.x(), 0.0, 1e-4);
  EXPECT_NEAR(width.from_m.y(), 1.4, 1e-2);
  EXPECT_NEAR(width.to_m.x(), 4.0, 1e-4);
  EXPECT_GT(width.nodes, 5);
}

TEST(TapeTest, PointsWithinAWallMeanTheFacesThatLookAtOneAnother) {
  const TapeRoom room;
  // 7 cm within the wall of 12 cm, nearer to its other side.
  const TapeMeasure width = measured(room.measurable(), {{0.1, 1.5}, {4.07, 1.5}});
  EXPECT_NEAR(width.distance_m, 4.0, 1e-3);
}

TEST(TapeTest, ThroughAWall) {
  const TapeRoom room;
  const TapeMeasure thickness = measured(room.measurable(), {{3.95, 1.5}, {4.2, 1.5}});
  EXPECT_NEAR(thickness.distance_m, 0.12, 1e-4);
  EXPECT_NEAR(thickness.by_range_offset, -2.0, 1e-3);
}

TEST(TapeTest, FromCornerToCorner) {
  const TapeRoom room;
  const TapeMeasure diagonal = measured(room.measurable(), {{0.1, 0.15}, {3.9, 2.8}});
  EXPECT_EQ(diagonal.kind, TapeKind::corner_to_corner);
  EXPECT_NEAR(diagonal.distance_m, 5.0, 1e-4);
  EXPECT_NEAR(diagonal.by_range_offset, 2.0 * (0.8 + 0.6), 1e-3);
}

TEST(TapeTest, FacesThatAreNotParallelGiveTheWayBetweenThePoints) {
  const TapeRoom room;
  const TapeMeasure oblique = measured(room.measurable(), {{0.05, 1.5}, {2.0, 0.05}});
  EXPECT_EQ(oblique.kind, TapeKind::point_to_point);
  EXPECT_NEAR(oblique.distance_m, 2.5, 0.015);  // a foot lies on a piece, between two of which are 2 cm
}

TEST(TapeTest, AWallThatRunsBesideTheTapeIsNotAtItsEnd) {
  const TapeRoom room;
  // Each point is nearer to the wall beside the tape than to the one that the tape ends at.
  const TapeMeasure width = measured(room.measurable(), {{0.35, 0.05}, {3.65, 0.15}});
  EXPECT_EQ(width.kind, TapeKind::across);
  EXPECT_NEAR(width.distance_m, 4.0, 1e-3);
}

TEST(TapeTest, NoWallNear) {
  const TapeRoom room;
  const TapeAnswer answer = measure_tape(room.measurable(), {{0.1, 1.5}, {2.0, 1.4}});
  EXPECT_FALSE(answer.measure);
  EXPECT_NEAR(answer.nearest_m[0], 0.1, 1e-3);
  EXPECT_NEAR(answer.nearest_m[1], 1.4, 1e-2);
  EXPECT_TRUE(std::isinf(measure_tape(MeasurableMap(Map(), {}), {{0, 0}, {1, 1}}).nearest_m[0]));
}

TEST(TapeTest, WhatTheMapsScaleAddsGrowsWithTheLength) {
  TapeRoom room;
  room.map().constants = {{"lidar.range_scale", "1", 1.002, 0.005, 1.001, 0.003006, false}};
  const MeasurableMap map = room.measurable();
  EXPECT_NEAR(map.scale_sd(), 0.003, 1e-9);
  const TapeMeasure width = measured(map, {{0.1, 1.5}, {3.95, 1.5}});
  EXPECT_NEAR(width.sd_m, std::hypot(width.own_sd_m, 0.003 * width.distance_m), 1e-9);
}

// Independent rooms, in which all errors are drawn from what the fit is told of them.
TEST(TapeTest, StatedUncertaintyHolds) {
  constexpr int kRooms = 200;
  int across_held = 0;
  int through_held = 0;
  for (int i = 0; i < kRooms; ++i) {
    const TapeRoom room(static_cast<unsigned>(100 + i), {0.015, 0.005, 0.004});
    const MeasurableMap map = room.measurable();
    const TapeMeasure width = measured(map, {{0.1, 1.5}, {3.95, 1.5}});
    const TapeMeasure wall = measured(map, {{3.95, 1.5}, {4.2, 1.5}});
    across_held += std::abs(width.distance_m - 4.0) <= 1.96 * width.own_sd_m ? 1 : 0;
    through_held += std::abs(wall.distance_m - 0.12) <= 1.96 * wall.own_sd_m ? 1 : 0;
  }
  EXPECT_GE(across_held, 0.90 * kRooms);
  EXPECT_LE(across_held, 0.99 * kRooms);
  EXPECT_GE(through_held, 0.90 * kRooms);
}

}  // namespace
}  // namespace wainscot
