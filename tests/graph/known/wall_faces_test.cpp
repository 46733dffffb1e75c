#include "graph/known/wall_faces.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(WallFaces, APieceThatGoesOnIsOfTheSameFace) {
  std::vector<WallFace> faces;
  EXPECT_EQ(face_of({0.0, 1.0}, {0.0, 2.0}, faces), 0U);
  EXPECT_EQ(face_of({0.0, 1.0}, {3.0, 2.03}, faces), 0U);
  EXPECT_EQ(face_of({std::sin(0.1), std::cos(0.1)}, {0.3, 2.0}, faces), 0U) << "six degrees of a short piece's slope";
  EXPECT_EQ(faces.size(), 1U);
}

TEST(WallFaces, ACornerTheOtherSideAndACupboardAreOthers) {
  std::vector<WallFace> faces;
  EXPECT_EQ(face_of({0.0, 1.0}, {0.0, 2.0}, faces), 0U);
  EXPECT_EQ(face_of({1.0, 0.0}, {0.0, 2.0}, faces), 1U);
  EXPECT_EQ(face_of({0.0, -1.0}, {0.0, 2.0}, faces), 2U);
  EXPECT_EQ(face_of({0.0, 1.0}, {1.0, 2.4}, faces), 3U);
  EXPECT_EQ(face_of({0.0, 1.0}, {1.0, 2.0}, faces), 0U);
}

}  // namespace
}  // namespace wainscot
