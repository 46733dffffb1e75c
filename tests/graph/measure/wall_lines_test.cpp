#include "graph/measure/wall_lines.hpp"

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/plan_pieces.hpp"

namespace wainscot {
namespace {

bool has_line(const std::vector<WallLine>& lines, const Eigen::Vector2d& from, const Eigen::Vector2d& to,
              double within_m) {
  return std::any_of(lines.begin(), lines.end(), [&](const WallLine& line) {
    return (line.from_m - from).norm() < within_m && (line.to_m - to).norm() < within_m;
  });
}

TEST(WallLines, AreTheFacesOfTheFlat) {
  const std::vector<WallLine> lines = wall_lines(flat_pieces());
  ASSERT_EQ(lines.size(), 12u);
  EXPECT_TRUE(has_line(lines, {0, 0}, {5, 0}, 1e-9));
  EXPECT_TRUE(has_line(lines, {5, 0}, {5, 4}, 1e-9));
  EXPECT_TRUE(has_line(lines, {1, 2}, {1, 3}, 1e-9));
  EXPECT_TRUE(has_line(lines, {0, 6.7}, {0, 4.2}, 1e-9));
  EXPECT_NEAR(lines.front().length_m(), 5.0, 1e-9);
  EXPECT_NEAR(lines.back().length_m(), 1.0, 1e-9);
  for (const WallLine& line : lines) {
    EXPECT_EQ(line.returns, 50 * line.pieces);
    EXPECT_DOUBLE_EQ(line.sd_m, 0.002);
  }
}

// Pieces that are each a little off, a little turned, and do not reach the corners.
TEST(WallLines, AverageTheirPiecesAndMeetInCorners) {
  std::mt19937 random(3);
  std::normal_distribution<double> normal;
  std::vector<WallPiece> pieces = flat_pieces();
  for (WallPiece& piece : pieces) {
    const Eigen::Vector2d across(std::cos(piece.normal_rad), std::sin(piece.normal_rad));
    piece.middle_m += 0.003 * normal(random) * across;
    piece.normal_rad += 0.02 * normal(random);
    piece.half_length_m -= 0.03;
  }
  const Pose2 frame{-2.0, 1.0, 2.3};
  const std::vector<WallLine> lines = wall_lines(seen_from(pieces, frame));
  ASSERT_EQ(lines.size(), 12u);
  const auto in_frame = [&](double x, double y) { return Eigen::Vector2d(inverse(frame) * Eigen::Vector2d(x, y)); };
  EXPECT_TRUE(has_line(lines, in_frame(0, 0), in_frame(5, 0), 0.006));
  EXPECT_TRUE(has_line(lines, in_frame(5, 0), in_frame(5, 4), 0.006));
  EXPECT_TRUE(has_line(lines, in_frame(2, 3), in_frame(2, 2), 0.012));
}

TEST(WallLines, EndAtDoorwaysAndSteps) {
  std::vector<WallPiece> pieces;
  add_face(pieces, {0, 0}, {2, 0});
  add_face(pieces, {2.75, 0}, {4.75, 0});            // behind a doorway
  add_face(pieces, {4.8125, 0}, {5.8125, 0});        // 6 cm of it hidden
  add_face(pieces, {5.8125, 0.03}, {6.8125, 0.03});  // a panel before the wall
  const std::vector<WallLine> lines = wall_lines(pieces);
  ASSERT_EQ(lines.size(), 3u);
  EXPECT_TRUE(has_line(lines, {0, 0}, {2, 0}, 1e-9));
  EXPECT_TRUE(has_line(lines, {2.75, 0}, {5.8125, 0}, 1e-9));
  EXPECT_TRUE(has_line(lines, {5.8125, 0.03}, {6.8125, 0.03}, 1e-9));
}

// A piece of which one half lies on one wall and the other on the next is no wall; a pilaster's face is one.
TEST(WallLines, LeaveOutWhatCutsACorner) {
  std::vector<WallPiece> pieces;
  add_face(pieces, {3.125, 0}, {0.125, 0});
  add_face(pieces, {0, -0.125}, {0, -3.125});
  pieces.push_back({{0.06, -0.06}, -0.25 * M_PI, 0.08, 0.002, 30, 5});
  WallLineOptions options;
  options.least_length_m = 0.1;
  std::vector<WallLine> lines = wall_lines(pieces, options);
  ASSERT_EQ(lines.size(), 2u);
  EXPECT_NEAR(lines[0].length_m() + lines[1].length_m(), 6.25, 1e-9);
  for (const WallLine& line : lines) {
    EXPECT_LT(std::min(line.from_m.norm(), line.to_m.norm()), 1e-9);  // they meet
  }

  pieces.clear();
  add_face(pieces, {0, 0}, {2, 0});
  add_face(pieces, {2, 0}, {2, 0.25});
  add_face(pieces, {2, 0.25}, {4, 0.25});
  lines = wall_lines(pieces);
  ASSERT_EQ(lines.size(), 3u);
  EXPECT_TRUE(has_line(lines, {2, 0}, {2, 0.25}, 1e-9));
}

TEST(WallLines, TwoFacesOfOneWallAreTwoLines) {
  std::vector<WallPiece> pieces;
  add_face(pieces, {0, 0}, {3, 0});
  add_face(pieces, {3, -0.01}, {0, -0.01});
  const std::vector<WallLine> lines = wall_lines(pieces);
  ASSERT_EQ(lines.size(), 2u);
  EXPECT_TRUE(has_line(lines, {0, 0}, {3, 0}, 1e-9));
  EXPECT_TRUE(has_line(lines, {3, -0.01}, {0, -0.01}, 1e-9));
}

TEST(WallLines, LeaveOutWhatIsShortOrUnsure) {
  std::vector<WallPiece> pieces;
  add_face(pieces, {0, 0}, {0.25, 0});
  pieces[0].half_length_m = 0.08;
  add_face(pieces, {5, 0}, {7, 0});
  for (std::size_t i = 1; i < pieces.size(); ++i) pieces[i].nodes = 1;
  EXPECT_TRUE(wall_lines(pieces).empty());
  for (WallPiece& piece : pieces) {
    piece.nodes = 8;
    piece.sd_m = 0.0;  // not known
  }
  EXPECT_TRUE(wall_lines(pieces).empty());
  EXPECT_TRUE(wall_lines({}).empty());
}

// A round wall: each chord within the step of its pieces, and all of the wall covered.
TEST(WallLines, FollowARoundWallInChords) {
  std::vector<WallPiece> pieces;
  constexpr double radius_m = 1.5;
  for (int i = 0; i < 40; ++i) {
    const double angle = 2.0 * M_PI * i / 40.0;
    pieces.push_back({{radius_m * std::cos(angle), radius_m * std::sin(angle)}, angle + M_PI, 0.115, 0.002, 50, 8});
  }
  const std::vector<WallLine> lines = wall_lines(pieces);
  double length_m = 0.0;
  int covered = 0;
  for (const WallLine& line : lines) {
    length_m += line.length_m();
    covered += line.pieces;
    EXPECT_NEAR(((line.from_m + line.to_m) / 2.0).norm(), radius_m, 0.04);
  }
  EXPECT_GT(covered, 35);
  EXPECT_NEAR(length_m, 2.0 * M_PI * radius_m, 0.8);
}

}  // namespace
}  // namespace wainscot
