#include "graph/close/hinted_places.hpp"

#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/close/looped_drive.hpp"

namespace wainscot {
namespace {

TEST(HintedPlaces, NodeNearestInTimeIsMeant) {
  std::vector<Keyframe> keyframes(3);
  keyframes[0].time_s = 1.0;
  keyframes[1].time_s = 3.0;
  keyframes[2].time_s = 4.0;
  EXPECT_EQ(node_at(keyframes, -5.0), 0U);
  EXPECT_EQ(node_at(keyframes, 1.9), 0U);
  EXPECT_EQ(node_at(keyframes, 2.1), 1U);
  EXPECT_EQ(node_at(keyframes, 3.0), 1U);
  EXPECT_EQ(node_at(keyframes, 99.0), 2U);
}

TEST(HintedPlaces, ANoHoldsForNodesWithinTwoMetresOfBothTimesInEitherOrder) {
  const LoopedDrive drive(2);
  const Chain chain = chain_of(drive.tracked, kNoise);
  const ForbiddenPairs forbidden({{10.0, 50.0, false}, {20.0, 60.0, true}}, chain);
  EXPECT_TRUE(forbidden.contains(10, 50));
  EXPECT_TRUE(forbidden.contains(50, 10));
  EXPECT_TRUE(forbidden.contains(14, 46));
  EXPECT_FALSE(forbidden.contains(19, 50)) << "2.4 m further along the way";
  EXPECT_FALSE(forbidden.contains(10, 11));
  EXPECT_FALSE(forbidden.contains(20, 60)) << "a yes forbids nothing";
}

TEST(HintedPlaces, AYesIsFoundThoughTheRobotWasCarried) {
  LoopedDrive drive(2);
  drive.lift(drive.tour, {11.0, -6.0, 2.1});
  const Chain chain = chain_of(drive.tracked, kNoise);
  const double later_s = static_cast<double>(drive.tour) + 5.0;
  const std::vector<HintedPlace> places =
      verify_hints({{3.0, 4.0, false}, {later_s, 5.0, true}, {7.0, 7.1, true}}, chain);
  ASSERT_EQ(places.size(), 1U) << "a no is no place, and two times at one node say nothing";
  EXPECT_EQ(places[0].hint, 1U);
  const Verified& found = places[0].verified;
  EXPECT_TRUE(found.hinted);
  EXPECT_EQ(found.candidate.from, 5U) << "the earlier one, whatever the order of the times";
  EXPECT_EQ(found.candidate.to, drive.tour + 5);
  EXPECT_EQ(found.fit, Fit::fits) << found.candidate.reason;
  EXPECT_LT(apart_m(found.candidate.found, drive.relative(5, drive.tour + 5)), 0.01);
}

TEST(HintedPlaces, AYesThatTheWallsContradictDoesNotFit) {
  LoopedDrive drive(2);
  for (std::size_t i = drive.tour; i < drive.truth.size(); ++i) {
    drive.tracked.keyframes[i] = keyframe_at(mirrored(crooked_room()), drive.truth[i % drive.tour], i);
  }
  const Chain chain = chain_of(drive.tracked, kNoise);
  const std::vector<HintedPlace> places = verify_hints({{5.0, static_cast<double>(drive.tour) + 5.0, true}}, chain);
  ASSERT_EQ(places.size(), 1U);
  EXPECT_NE(places[0].verified.fit, Fit::fits);
  EXPECT_FALSE(places[0].verified.candidate.reason.empty());
}

}  // namespace
}  // namespace wainscot
