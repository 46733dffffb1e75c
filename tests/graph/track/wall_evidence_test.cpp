#include "graph/track/wall_evidence.hpp"

#include <algorithm>

#include <gtest/gtest.h>

#include "tests/graph/tracked_room.hpp"

namespace wainscot {
namespace {

const std::vector<Pose2> kSeenFrom{{-0.4, -0.3, 0.2}, {-0.2, -0.3, 0.4}, {0.0, -0.2, 0.6}};
const Pose2 kHere{0.3, -0.1, 0.9};

WallEvidence evidence_at(const TrackedRoom& room, const Scene& scene, const Pose2& claimed) {
  const LocalWalls walls = room.walls();
  return wall_evidence(keyframe_at(scene, kHere).points, claimed, walls, walls.seen(claimed.translation(), 9.0));
}

TEST(WallEvidence, NearlyAllReturnsAreOnWallsAtTheRightPlace) {
  const TrackedRoom room(crooked_room(), kSeenFrom);
  const WallEvidence right = evidence_at(room, crooked_room(), kHere);
  EXPECT_EQ(right.all, 360.0);
  const std::vector<ScanPoint> points = keyframe_at(crooked_room(), kHere).points;
  const auto with_normal =
      std::count_if(points.begin(), points.end(), [](const ScanPoint& p) { return p.has_normal(); });
  EXPECT_GT(right.on_wall, 0.98 * static_cast<double>(with_normal));
  EXPECT_LT(right.in_free, 0.02 * right.all);
  const WallEvidence wrong = evidence_at(room, crooked_room(), kHere * Pose2{0.6, 0.4, 0.3});
  EXPECT_LT(wrong.on_wall, 0.3 * wrong.all);
  EXPECT_GT(wrong.in_free, 0.2 * wrong.all);
  EXPECT_GT(right.log_likelihood(), wrong.log_likelihood() + 20.0);
}

TEST(WallEvidence, IsWorthNoMoreForMoreBeams) {
  const WallEvidence some{100.0, 10.0, 200.0};
  EXPECT_NEAR(some.log_likelihood(), (100.0 - 20.0) / 200.0 * 180.0 / 5.0, 1e-12);
  const WallEvidence twice{200.0, 20.0, 400.0};
  EXPECT_NEAR(twice.log_likelihood(), some.log_likelihood(), 1e-12);
  const WallEvidence few{10.0, 1.0, 20.0};
  EXPECT_NEAR(few.log_likelihood(), 8.0 / 5.0, 1e-12);
  EXPECT_EQ(WallEvidence{}.log_likelihood(), 0.0);
}

TEST(WallEvidence, AWallWhereTheFloorWasFreeContradicts) {
  const TrackedRoom room(crooked_room(), kSeenFrom);
  const SeenSpace space = room.walls().seen(kHere.translation(), 9.0);
  EXPECT_LT(contradiction(keyframe_at(crooked_room(), kHere).points, kHere, space), 0.02);
  Scene divided = crooked_room();
  divided.emplace_back(Eigen::Vector2d(-0.8, 0.5), Eigen::Vector2d(0.9, 0.5));
  EXPECT_GT(contradiction(keyframe_at(divided, kHere).points, kHere, space), 0.15);
  EXPECT_EQ(contradiction(keyframe_at(crooked_room(), kHere).points, {50.0, 0.0, 0.0}, space), 0.0)
      << "nothing was seen there";
}

}  // namespace
}  // namespace wainscot
