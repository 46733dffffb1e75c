#include "graph/close/signature.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>

#include "core/pose2.hpp"
#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

/// Pieces of 0.3 m of all walls of a room, seen from inside, from a robot at `pose`.
std::vector<WallElement> elements_of(const Scene& room, const Pose2& pose) {
  const Pose2 to_robot = inverse(pose);
  std::vector<WallElement> elements;
  for (const auto& [a, b] : room) {
    const Eigen::Vector2d along = (b - a).normalized();
    const Eigen::Vector2d inwards(-along.y(), along.x());  // the corners are listed counter-clockwise
    for (double at = 0.15; at < (b - a).norm(); at += 0.3) {
      elements.push_back({to_robot * Eigen::Vector2d(a + at * along), to_robot.rotation() * inwards});
    }
  }
  return elements;
}

const Pose2 kHere{0.2, -0.3, 0.4};

TEST(Signature, IsThatOfThePlaceFromAnyPoseInIt) {
  const Signature here(elements_of(crooked_room(), kHere));
  EXPECT_NEAR(here.likeness(here), 1.0, 1e-6);
  for (const Pose2& pose : {Pose2{-0.8, 0.5, 2.9}, Pose2{1.2, -1.0, -1.7}, Pose2{0.2, -0.3, 0.4 + std::numbers::pi}}) {
    EXPECT_NEAR(here.likeness(Signature(elements_of(crooked_room(), pose))), 1.0, 1e-4);
  }
}

TEST(Signature, TellsOtherAndMirroredRoomsApart) {
  const Signature here(elements_of(crooked_room(), kHere));
  const Scene long_room = closed_walls({{-1.2, -4.0}, {1.2, -4.0}, {1.2, 3.0}, {0.2, 4.0}, {-1.2, 4.0}});
  EXPECT_LT(here.likeness(Signature(elements_of(long_room, {}))), 0.9);
  std::vector<WallElement> mirror = elements_of(crooked_room(), kHere);
  for (WallElement& e : mirror) {
    e.middle_m.y() *= -1.0;
    e.normal.y() *= -1.0;
  }
  EXPECT_LT(here.likeness(Signature(mirror)), 0.995);  // the room's own likeness is 1 to four digits
}

TEST(Signature, TurnsBringTheWallsParallel) {
  const Signature here(elements_of(crooked_room(), kHere));
  for (const double heading : {-2.6, -0.9, 0.4, 1.7, 3.0}) {
    const Signature there(elements_of(crooked_room(), {0.5, 0.1, heading}));
    const double truth = wrap_angle(heading - kHere.heading_rad);
    const std::vector<double> turns = here.turns_to(there, 4);
    EXPECT_LE(turns.size(), 4U);
    EXPECT_TRUE(std::any_of(turns.begin(), turns.end(), [&](double turn) {
      return std::abs(wrap_angle(turn - truth)) < 0.055;
    })) << heading;
  }
}

TEST(Signature, OfNothingIsLikeNothing) {
  const Signature nothing({});
  EXPECT_EQ(nothing.likeness(nothing), 0.0);
  EXPECT_TRUE(nothing.turns_to(nothing, 4).empty());
}

}  // namespace
}  // namespace wainscot
