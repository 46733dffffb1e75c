#include "graph/compare/standing_pieces.hpp"

#include <limits>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

constexpr double kCellM = 0.05;

/// Free floor of 2 m by 1 m, whose lower left corner is (-1, 3).
OccupancyGrid free_floor() { return {{kCellM, -20, 60, 40, 20}, std::vector<float>(40 * 20, 0.02F)}; }

void set(OccupancyGrid& grid, double x_m, double y_m, float probability) {
  const auto column = static_cast<std::size_t>((x_m + 1.0) / kCellM);
  const auto row = static_cast<std::size_t>((y_m - 3.0) / kCellM);
  grid.probability[row * 40 + column] = probability;
}

/// A face along x that looks towards -y.
WallPiece face_at(double x_m, double y_m) {
  WallPiece piece;
  piece.middle_m = {x_m, y_m};
  piece.normal_rad = -1.5707963;
  piece.half_length_m = 0.13;
  return piece;
}

TEST(StandingPieces, FreeFloorAlongAFaceMeansThatItHasGone) {
  const OccupancyGrid grid = free_floor();
  EXPECT_FALSE(stands(face_at(0.01, 3.51), grid));
  EXPECT_FALSE(stands(face_at(-0.99, 3.01), grid));  // partly beyond the grid
}

TEST(StandingPieces, AnyCellOfWallAlongAFaceHoldsIt) {
  OccupancyGrid grid = free_floor();
  set(grid, 0.12, 3.52, 0.9F);  // near the piece's end
  EXPECT_TRUE(stands(face_at(0.01, 3.51), grid));
  EXPECT_TRUE(stands(face_at(0.01, 3.48), grid));   // the cell behind the face
  EXPECT_FALSE(stands(face_at(0.01, 3.42), grid));  // 8 cm in front of it
  EXPECT_FALSE(stands(face_at(0.41, 3.51), grid));  // beside it
}

TEST(StandingPieces, WhatTheGridDoesNotKnowStands) {
  OccupancyGrid grid = free_floor();
  EXPECT_TRUE(stands(face_at(5.0, 5.0), grid));
  set(grid, 0.02, 3.52, std::numeric_limits<float>::quiet_NaN());
  EXPECT_TRUE(stands(face_at(0.01, 3.51), grid));
  set(grid, 0.02, 3.52, 0.4F);  // a door that was seen open and closed
  EXPECT_TRUE(stands(face_at(0.01, 3.51), grid));
}

TEST(StandingPieces, AreThoseOfTheGridInTheirOrder) {
  OccupancyGrid grid = free_floor();
  set(grid, 0.02, 3.52, 0.9F);
  set(grid, 0.42, 3.52, 0.9F);
  const std::vector<WallPiece> standing =
      standing_pieces({face_at(0.4, 3.51), face_at(0.0, 3.9), face_at(0.01, 3.51)}, grid);
  ASSERT_EQ(standing.size(), 2U);
  EXPECT_EQ(standing[0].middle_m.x(), 0.4);
  EXPECT_EQ(standing[1].middle_m.x(), 0.01);
  EXPECT_NEAR(gone_length_m({face_at(0.4, 3.51), face_at(0.0, 3.9), face_at(0.01, 3.51)}, grid), 0.26, 1e-12);
}

TEST(StandingPieces, OfWhatOneReturnAScanLiesOnNothingHasGone) {
  WallPiece seldom = face_at(0.01, 3.51);
  seldom.nodes = 3;
  seldom.returns = 5;
  EXPECT_EQ(gone_length_m({seldom}, free_floor()), 0.0);
  seldom.returns = 6;
  EXPECT_NEAR(gone_length_m({seldom}, free_floor()), 0.26, 1e-12);
}

TEST(StandingPieces, AWayIsFreeUntilSomethingStandsOnItOrNobodyLooked) {
  OccupancyGrid grid = free_floor();
  const Eigen::Vector2d from(-0.9, 3.1);
  const Eigen::Vector2d to(0.9, 3.9);
  EXPECT_TRUE(is_free_between(from, to, 0.1, grid));
  set(grid, 0.02, 3.52, 0.9F);
  EXPECT_FALSE(is_free_between(from, to, 0.1, grid));
  EXPECT_FALSE(is_free_between(to, from, 0.1, grid));
  EXPECT_TRUE(is_free_between({-0.9, 3.1}, {0.9, 3.1}, 0.1, grid));  // past it
  set(grid, 0.02, 3.52, std::numeric_limits<float>::quiet_NaN());
  EXPECT_FALSE(is_free_between(from, to, 0.1, grid));
  set(grid, 0.02, 3.52, 0.02F);
  set(grid, 0.88, 3.88, 0.9F);  // the wall at its end
  EXPECT_TRUE(is_free_between(from, to, 0.1, grid));
  EXPECT_TRUE(is_free_between({5.0, 5.0}, {7.0, 5.0}, 0.1, grid));  // not on the grid
}

}  // namespace
}  // namespace wainscot
