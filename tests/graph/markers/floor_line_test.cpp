#include "graph/markers/floor_line.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(FloorLine, LeftAndAheadAreOfItsDirection) {
  const FloorLine line{{1.0, 2.0}, std::numbers::pi / 2.0};
  EXPECT_NEAR(line.left_m({0.25, 7.0}), 0.75, 1e-12);
  EXPECT_NEAR(line.ahead_m({0.25, 7.0}), 5.0, 1e-12);
}

TEST(FloorLine, LiesThroughPlacesInAnyDirection) {
  for (double direction = -3.0; direction <= 3.0; direction += 0.5) {
    const Eigen::Vector2d along(std::cos(direction), std::sin(direction));
    const Eigen::Vector2d normal(-along.y(), along.x());
    const Eigen::Vector2d middle(3.0, -4.0);
    // The outer two and the inner two are off by as much: the best line is not turned by them.
    const FloorLine line = line_through({middle - 2.0 * along + 0.01 * normal, middle - along - 0.01 * normal,
                                         middle + along - 0.01 * normal, middle + 2.0 * along + 0.01 * normal});
    EXPECT_NEAR(std::remainder(line.direction_rad - direction, 2.0 * std::numbers::pi), 0.0, 1e-9) << direction;
    EXPECT_LT((line.anchor - middle).norm(), 1e-12);
    EXPECT_NEAR(line.left_m(middle + along - 0.01 * normal), -0.01, 1e-9);
  }
}

TEST(FloorLine, DistancesStayInAnotherFrame) {
  const FloorLine line{{1.0, 2.0}, 0.7};
  const Pose2 frame{-3.0, 5.0, 2.0};
  const Eigen::Vector2d place(2.5, -1.0);
  EXPECT_NEAR(in_frame(frame, line).left_m(frame * place), line.left_m(place), 1e-12);
  EXPECT_NEAR(in_frame(frame, line).ahead_m(frame * place), line.ahead_m(place), 1e-12);
}

}  // namespace
}  // namespace wainscot
