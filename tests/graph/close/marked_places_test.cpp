#include "graph/close/marked_places.hpp"

#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/close/looped_drive.hpp"

namespace wainscot {
namespace {

const Pose2 kMarker{0.3, -0.2, 0.4};
const Pose2 kElsewhere{-0.6, 0.5, 1.4};

NodeSighting sighting(const LoopedDrive& drive, std::size_t node, const Pose2& marker = kMarker) {
  NodeSighting s;
  s.node = node;
  s.at_m = inverse(drive.truth[node]) * marker.translation();
  s.heading_rad = wrap_angle(marker.heading_rad - drive.truth[node].heading_rad);
  s.sd_m = 0.02;
  s.sd_rad = 0.03;
  return s;
}

Proposal predicted(const LoopedDrive& drive, std::size_t from, std::size_t to, double sd_m, double sd_rad) {
  return {from, to, drive.relative(from, to) * Pose2{0.02, -0.03, 0.01}, covariance_of(sd_m, sd_rad), false};
}

TEST(MarkedPlaces, PairsAreOfOneMarkerOnTwoVisits) {
  const LoopedDrive drive(2);
  const Chain chain = chain_of(drive.tracked, kNoise);
  const std::size_t again = drive.tour + 4;
  const std::vector<NodeSighting> sightings{sighting(drive, 4), sighting(drive, 5), sighting(drive, again)};
  const std::vector<MarkerPair> pairs = marked_pairs(sightings, chain, ForbiddenPairs({}, chain), 8.0);
  ASSERT_EQ(pairs.size(), 1U);
  EXPECT_EQ(sightings[pairs[0].later].node, again);
  EXPECT_LT(pairs[0].earlier, 2U);
  const Hint apart{4.0, static_cast<double>(again), false};
  EXPECT_TRUE(marked_pairs(sightings, chain, ForbiddenPairs({apart}, chain), 8.0).empty());
}

TEST(MarkedPlaces, MarkerAndWallsTogetherPlaceTheNode) {
  const LoopedDrive drive(2);
  const Chain chain = chain_of(drive.tracked, kNoise);
  const std::size_t again = drive.tour + 4;
  const Verified verified =
      verify_marked(sighting(drive, 4), sighting(drive, again), predicted(drive, 4, again, 10.0, 0.2), false, chain);
  EXPECT_EQ(verified.fit, Fit::fits) << verified.candidate.reason;
  EXPECT_FALSE(verified.by_marker_alone);
  EXPECT_LT(apart_m(verified.candidate.found, drive.relative(4, again)), 0.01);
}

TEST(MarkedPlaces, WithoutAnyHeadingTheWallsSayWhichWayTheRobotLooked) {
  const LoopedDrive drive(2);
  const Chain chain = chain_of(drive.tracked, kNoise);
  const std::size_t again = drive.tour + 4;
  NodeSighting earlier = sighting(drive, 4);
  NodeSighting later = sighting(drive, again);
  earlier.heading_rad.reset();
  later.heading_rad.reset();
  const Verified verified = verify_marked(earlier, later, predicted(drive, 4, again, 10.0, 3.0), false, chain);
  EXPECT_EQ(verified.fit, Fit::fits) << verified.candidate.reason;
  EXPECT_LT(apart_rad(verified.candidate.found, drive.relative(4, again)), 0.01);
}

TEST(MarkedPlaces, AMarkerThatTheDriftDoesNotAllowIsMisread) {
  const LoopedDrive drive(2);
  const Chain chain = chain_of(drive.tracked, kNoise);
  const std::size_t again = drive.tour + 4;
  const Verified verified = verify_marked(sighting(drive, 4), sighting(drive, again, kElsewhere),
                                          predicted(drive, 4, again, 0.05, 0.02), true, chain);
  EXPECT_EQ(verified.fit, Fit::contradicts);
  EXPECT_EQ(verified.candidate.from, 4U);
  EXPECT_EQ(verified.candidate.to, again);
  EXPECT_NE(verified.candidate.reason.find("misread"), std::string::npos);
  EXPECT_GT(verified.candidate.chi_squared, 16.0);
}

// A corridor without ends in sight: the walls never tell how far along it the robot is.
TEST(MarkedPlaces, WhereTheWallsSayNothingTheMarkerIsBelievedOnceTheDriftIsSmall) {
  const Scene corridor{{Eigen::Vector2d(-40.0, -0.8), Eigen::Vector2d(40.0, -0.8)},
                       {Eigen::Vector2d(40.0, 0.8), Eigen::Vector2d(-40.0, 0.8)}};
  LoopedDrive drive(1);
  for (std::size_t i = 0; i < drive.truth.size(); ++i) {
    const double x_m = 0.3 * static_cast<double>(i < 19 ? i : 37 - i);
    drive.truth[i] = {x_m, 0.0, 0.0};
    drive.tracked.keyframes[i] = keyframe_at(corridor, drive.truth[i], i);
  }
  drive.tracked.poses = drive.truth;
  const Chain chain = chain_of(drive.tracked, kNoise);
  const NodeSighting earlier = sighting(drive, 4);
  const NodeSighting later = sighting(drive, 33);
  const Proposal pair = predicted(drive, 4, 33, 0.1, 0.01);
  const Verified open = verify_marked(earlier, later, pair, false, chain);
  EXPECT_EQ(open.fit, Fit::open);
  EXPECT_NE(open.candidate.reason.find("too large to trust a number alone"), std::string::npos);
  const Verified vouched = verify_marked(earlier, later, pair, true, chain);
  EXPECT_EQ(vouched.fit, Fit::fits);
  EXPECT_TRUE(vouched.by_marker_alone);
  EXPECT_LT(apart_m(vouched.candidate.found, drive.relative(4, 33)), 0.05);
  EXPECT_GT(vouched.information(0, 0), 100.0);
}

}  // namespace
}  // namespace wainscot
