#pragma once

// Wall pieces of a small flat without symmetry, for the tests that lay maps over each other.

#include <cmath>
#include <vector>

#include "core/pose2.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// Adds pieces of 0.25 m along a face; the seen side is on the left of the way from `from` to `to`.
inline void add_face(std::vector<WallPiece>& pieces, const Eigen::Vector2d& from, const Eigen::Vector2d& to) {
  const Eigen::Vector2d along = (to - from).normalized();
  const double normal_rad = std::atan2(along.x(), -along.y());
  const int count = static_cast<int>((to - from).norm() / 0.25);
  for (int i = 0; i < count; ++i) {
    pieces.push_back({from + (0.25 * i + 0.125) * along, normal_rad, 0.125, 0.002, 50, 8});
  }
}

/// Two rooms of 5 m x 4 m and 3 m x 2.5 m with a box in the first; `width_m` is the first one's.
inline std::vector<WallPiece> flat_pieces(double width_m = 5.0) {
  std::vector<WallPiece> pieces;
  add_face(pieces, {0, 0}, {width_m, 0});
  add_face(pieces, {width_m, 0}, {width_m, 4});
  add_face(pieces, {width_m, 4}, {0, 4});
  add_face(pieces, {0, 4}, {0, 0});
  add_face(pieces, {1, 2}, {1, 3});
  add_face(pieces, {1, 3}, {2, 3});
  add_face(pieces, {2, 3}, {2, 2});
  add_face(pieces, {2, 2}, {1, 2});
  add_face(pieces, {0, 4.2}, {3, 4.2});
  add_face(pieces, {3, 4.2}, {3, 6.7});
  add_face(pieces, {3, 6.7}, {0, 6.7});
  add_face(pieces, {0, 6.7}, {0, 4.2});
  return pieces;
}

/// The same as seen in a frame whose pose in theirs is given.
inline std::vector<WallPiece> seen_from(std::vector<WallPiece> pieces, const Pose2& frame) {
  for (WallPiece& piece : pieces) {
    piece.middle_m = inverse(frame) * piece.middle_m;
    piece.normal_rad -= frame.heading_rad;
  }
  return pieces;
}

}  // namespace wainscot
