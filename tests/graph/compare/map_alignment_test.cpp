#include "graph/compare/map_alignment.hpp"

#include <numbers>
#include <optional>
#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/plan_pieces.hpp"

namespace wainscot {
namespace {

void expect_pose(const Pose2& found, const Pose2& expected) {
  EXPECT_NEAR(found.x_m, expected.x_m, 1e-4);
  EXPECT_NEAR(found.y_m, expected.y_m, 1e-4);
  EXPECT_NEAR(wrap_angle(found.heading_rad - expected.heading_rad), 0.0, 1e-5);
}

// Two days of one flat begin anywhere.
TEST(MapAlignment, FindsAnyPose) {
  const std::vector<WallPiece> first = flat_pieces();
  for (const Pose2& frame : {Pose2{2.0, 1.0, 0.0}, Pose2{4.1, 3.2, 2.6}, Pose2{-7.0, 5.5, -1.93}}) {
    const MapAlignment alignment = align_walls(first, seen_from(first, frame), std::nullopt);
    expect_pose(alignment.first_second, frame);
    EXPECT_GT(alignment.agreement, 0.99);
    EXPECT_LT(alignment.runner_up, 0.9 * alignment.agreement);
  }
}

TEST(MapAlignment, RefinesWhatIsKnownNearly) {
  const std::vector<WallPiece> first = flat_pieces();
  const Pose2 frame{0.02, -0.03, 0.01};
  expect_pose(align_walls(first, seen_from(first, frame), Pose2{}).first_second, frame);
}

TEST(MapAlignment, FindsTheFlatFromOneOfItsRooms) {
  const std::vector<WallPiece> first = flat_pieces();
  const std::vector<WallPiece> room(first.begin(), first.begin() + 88);
  const Pose2 frame{1.0, 2.0, 3.0};
  const MapAlignment alignment = align_walls(first, seen_from(room, frame), std::nullopt);
  expect_pose(alignment.first_second, frame);
}

TEST(MapAlignment, SaysWhereTwoWaysFit) {
  std::vector<WallPiece> square;
  add_face(square, {-2, -2}, {2, -2});
  add_face(square, {2, -2}, {2, 2});
  add_face(square, {2, 2}, {-2, 2});
  add_face(square, {-2, 2}, {-2, -2});
  const MapAlignment alignment = align_walls(square, square, std::nullopt);
  EXPECT_GT(alignment.agreement, 0.95);
  EXPECT_GT(alignment.runner_up, 0.9 * alignment.agreement);
}

TEST(MapAlignment, OfNothingAgreesWithNothing) {
  EXPECT_EQ(align_walls({}, flat_pieces(), std::nullopt).agreement, 0.0);
  EXPECT_EQ(align_walls(flat_pieces(), {}, Pose2{1, 2, 3}).first_second.x_m, 1.0);
}

}  // namespace
}  // namespace wainscot
