#include "graph/compare/face_height.hpp"

#include <cmath>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// A piece at (x, y) whose face looks up.
WallPiece piece(double x, double y, double sd_m = 0.002, int nodes = 5) {
  return {{x, y}, std::numbers::pi / 2, 0.15, sd_m, 40, nodes};
}

TEST(FaceHeight, IsTheWeightedMeanOfTheFacesPieces) {
  const std::vector<WallPiece> pieces = {piece(-0.3, 0.010, 0.001), piece(0.0, 0.012, 0.002), piece(0.3, 0.008, 0.002)};
  const auto height = height_of_face(pieces, {0.0, 0.0}, {0.0, 1.0});
  ASSERT_TRUE(height);
  EXPECT_NEAR(height->height_m, (0.010 * 4 + 0.012 + 0.008) / 6.0, 1e-12);
  EXPECT_DOUBLE_EQ(height->sd_m, 0.001);
  EXPECT_DOUBLE_EQ(height->share, 1.0);
}

TEST(FaceHeight, PassesOverOtherThings) {
  std::vector<WallPiece> pieces = {piece(0.0, 0.0),
                                   piece(0.2, 0.0),
                                   piece(-0.2, 0.0),
                                   piece(0.1, 0.05),              // a skirting before the face
                                   piece(0.1, 0.2),               // too far across
                                   piece(0.9, 0.01),              // too far along
                                   piece(0.1, 0.015, 0.001, 2)};  // seen from two nodes only
  pieces.push_back(piece(0.0, 0.01));
  pieces.back().normal_rad = -std::numbers::pi / 2;  // the wall's other face
  const auto height = height_of_face(pieces, {0.0, 0.0}, {0.0, 1.0});
  ASSERT_TRUE(height);
  EXPECT_NEAR(height->height_m, 0.0, 1e-12);
  EXPECT_DOUBLE_EQ(height->share, 0.75);  // three pieces of the face, one of the skirting
  EXPECT_FALSE(height_of_face(pieces, {5.0, 0.0}, {0.0, 1.0}));
}

}  // namespace
}  // namespace wainscot
