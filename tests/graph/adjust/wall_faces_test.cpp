#include "graph/adjust/wall_faces.hpp"

#include <cmath>
#include <numbers>
#include <set>
#include <vector>

#include <gtest/gtest.h>
#include <Eigen/Geometry>

namespace wainscot {
namespace {

/// A wall face that two nodes have seen, its normal to the left of the way from `from` to `to`.
void add_face(LineMap& map, const Eigen::Vector2d& from, const Eigen::Vector2d& to) {
  const Eigen::Vector2d along = (to - from).normalized();
  const Eigen::Vector2d normal(-along.y(), along.x());
  for (int node = 0; node < 2; ++node) {
    for (double at = 0.0; at <= (to - from).norm(); at += 0.02) map.add(from + at * along, normal, 1e5, node, 0);
    map.fit();
  }
}

std::set<std::int32_t> faces_of(const WallFaces& faces, const LineMap& map, const Eigen::AlignedBox2d& box) {
  std::set<std::int32_t> result;
  for (std::size_t i = 0; i < map.lines().size(); ++i) {
    if (box.contains(map.lines()[i].anchor)) result.insert(faces.of_piece[i]);
  }
  return result;
}

TEST(WallFaces, AStraightWallIsOneAndACornerParts) {
  LineMap map;
  add_face(map, {0.0, 0.0}, {4.0, 0.0});
  add_face(map, {4.0, 0.0}, {4.0, 3.0});
  const WallFaces faces = wall_faces(map);
  EXPECT_EQ(faces.count, 2);
  for (const std::int32_t face : faces.of_piece) EXPECT_NE(face, WallFaces::kNone);
}

TEST(WallFaces, ADoorwayAndAStepPart) {
  LineMap map;
  add_face(map, {0.0, 0.0}, {2.0, 0.0});
  add_face(map, {2.9, 0.0}, {5.0, 0.0});    // beyond a doorway
  add_face(map, {5.0, 0.12}, {7.0, 0.12});  // a chimney breast
  EXPECT_EQ(wall_faces(map).count, 3);
}

TEST(WallFaces, BothSidesOfAWallAreTwo) {
  LineMap map;
  add_face(map, {0.0, 0.0}, {3.0, 0.0});
  add_face(map, {3.0, -0.05}, {0.0, -0.05});
  EXPECT_EQ(wall_faces(map).count, 2);
}

TEST(WallFaces, ARoundWallIsOne) {
  LineMap map;
  constexpr int kSides = 60;
  const auto corner = [](int i) {
    const double angle = 2.0 * std::numbers::pi * i / kSides;
    return Eigen::Vector2d(3.0 * std::cos(angle), 3.0 * std::sin(angle));
  };
  for (int i = 0; i < kSides; ++i) add_face(map, corner(i), corner(i + 1));
  EXPECT_EQ(wall_faces(map).count, 1);
}

TEST(WallFaces, ShortPiecesAndWhatOneNodeSawAreNone) {
  LineMap map;
  add_face(map, {0.0, 0.0}, {0.5, 0.0});
  for (double x = 0.0; x < 4.0; x += 0.02) map.add({x, 2.0}, {0.0, 1.0}, 1e5, 0, 0);
  map.fit();
  const WallFaces faces = wall_faces(map);
  EXPECT_EQ(faces.count, 0);
  EXPECT_EQ(faces_of(faces, map, Eigen::AlignedBox2d(Eigen::Vector2d(-9, -9), Eigen::Vector2d(9, 9))),
            std::set<std::int32_t>{WallFaces::kNone});
}

}  // namespace
}  // namespace wainscot
