#include "graph/mapping/map_frame.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "graph/adjust/scan_poses.hpp"
#include "tests/graph/tape_room.hpp"

namespace wainscot {
namespace {

/// The room's pieces, turned about the origin.
std::vector<WallPiece> turned_room(double turn_rad) {
  TapeRoom room;
  return in_frame({0.0, 0.0, turn_rad}, room.map().wall_pieces);
}

MapFrameOptions upright() {
  MapFrameOptions options;
  options.upright = true;
  return options;
}

TEST(MapFrameTest, UprightTurnsByFortyFiveDegreesAtMost) {
  for (const double turn : {-3.0, -1.0, -0.7, 0.1, 0.7, 1.4, 2.5}) {
    const Pose2 first{0.0, 0.0, 0.3};
    const Pose2 frame = wanted_frame(upright(), turned_room(turn), first);
    EXPECT_LE(std::abs(frame.heading_rad), std::numbers::pi / 4.0 + 1e-9);
    EXPECT_NEAR((frame * first).translation().norm(), 0.0, 1e-12);
    for (const WallPiece& piece : in_frame(frame, turned_room(turn))) {
      EXPECT_NEAR(std::remainder(piece.normal_rad, std::numbers::pi / 2.0), 0.0, 1e-9);
    }
  }
}

TEST(MapFrameTest, UprightTurnsAboutTheFirstScan) {
  const Pose2 first{2.0, -1.0, 0.3};
  const Pose2 moved = wanted_frame(upright(), turned_room(0.5), first) * first;
  EXPECT_NEAR(moved.x_m, 2.0, 1e-12);
  EXPECT_NEAR(moved.y_m, -1.0, 1e-12);
  EXPECT_NEAR(moved.heading_rad, 0.3 - 0.5, 1e-9);
}

TEST(MapFrameTest, NoWallsNoTurn) {
  const Pose2 frame = wanted_frame(upright(), {}, {});
  EXPECT_EQ(frame.heading_rad, 0.0);
  EXPECT_EQ(frame.x_m, 0.0);
}

TEST(MapFrameTest, TheFirstPoseIsWhereTheUserPutsIt) {
  MapFrameOptions options;
  options.first_pose = Pose2{5.0, 6.0, std::numbers::pi / 2.0};
  const Pose2 first{0.1, 0.2, 0.3};
  const Pose2 moved = wanted_frame(options, turned_room(0.5), first) * first;
  EXPECT_NEAR(moved.x_m, 5.0, 1e-12);
  EXPECT_NEAR(moved.y_m, 6.0, 1e-12);
  EXPECT_NEAR(moved.heading_rad, std::numbers::pi / 2.0, 1e-12);
}

TEST(MapFrameTest, PiecesAreMovedAsSolids) {
  const Pose2 frame{1.0, 2.0, std::numbers::pi / 2.0};
  const std::vector<WallPiece> moved = in_frame(frame, {{{3.0, 0.0}, std::numbers::pi, 0.15, 0.002, 9, 3}});
  EXPECT_NEAR(moved[0].middle_m.x(), 1.0, 1e-12);
  EXPECT_NEAR(moved[0].middle_m.y(), 5.0, 1e-12);
  EXPECT_NEAR(moved[0].normal_rad, -std::numbers::pi / 2.0, 1e-12);
  EXPECT_EQ(moved[0].half_length_m, 0.15);
}

TEST(MapFrameTest, LinesAreMovedAsSolids) {
  MapLines lines;
  lines.lines.resize(1);
  lines.lines[0].from_m = {1.0, 2.0};
  lines.lines[0].to_m = {4.0, 2.0};
  const Pose2 new_old{10.0, 20.0, std::numbers::pi / 2.0};
  lines = in_frame(new_old, std::move(lines));
  EXPECT_NEAR((lines.lines[0].from_m - Eigen::Vector2d(8.0, 21.0)).norm(), 0.0, 1e-12);
  EXPECT_NEAR((lines.lines[0].to_m - Eigen::Vector2d(8.0, 24.0)).norm(), 0.0, 1e-12);
}

TEST(MapFrameTest, ScansAreMovedWithWhatTheySaw) {
  ScanPose scan;
  scan.pose = {1.0, 0.0, 0.0};
  scan.odometry = {1.1, 0.0, 0.0};
  scan.seen.extend(Eigen::Vector2d(100.0, 100.0));
  // One beam that met something 2 m ahead, one that met nothing.
  const BeamsOfScan beams = [](const ScanPose& s) {
    const Eigen::Vector2d hit = s.pose * Eigen::Vector2d(2.0, 0.0);
    const Eigen::Vector2d free = s.pose * Eigen::Vector2d(0.0, 8.0);
    const auto beam = [&](const Eigen::Vector2d& end, bool met) {
      return RasterBeam{static_cast<float>(s.pose.x_m),
                        static_cast<float>(s.pose.y_m),
                        static_cast<float>(end.x()),
                        static_cast<float>(end.y()),
                        met,
                        1.0F};
    };
    return std::vector<RasterBeam>{beam(hit, true), beam(free, false)};
  };
  const std::vector<ScanPose> moved = in_frame({0.0, 0.0, std::numbers::pi / 2.0}, {scan}, beams, 1);
  EXPECT_NEAR(moved[0].pose.y_m, 1.0, 1e-12);
  EXPECT_NEAR(moved[0].odometry.y_m, 1.1, 1e-12);
  EXPECT_NEAR(moved[0].seen.min().x(), 0.0, 1e-6);
  EXPECT_NEAR(moved[0].seen.max().y(), 3.0, 1e-6);
  EXPECT_NEAR(moved[0].seen.min().y(), 3.0, 1e-6);
}

}  // namespace
}  // namespace wainscot
