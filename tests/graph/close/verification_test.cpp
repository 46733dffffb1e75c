#include "graph/close/verification.hpp"

#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/close/looped_drive.hpp"
#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

/// Three scans 0.3 m apart with the middle one at `pose`.
Place place_at(const Scene& scene, const Pose2& pose) {
  std::vector<Pose2> poses{pose * Pose2{-0.3, 0.0, -0.1}, pose, pose * Pose2{0.3, 0.0, 0.1}};
  std::vector<Keyframe> keyframes;
  for (std::size_t i = 0; i < poses.size(); ++i) keyframes.push_back(keyframe_at(scene, poses[i], i));
  const std::vector<double> ways = ways_of(poses);
  return {SeenPath{keyframes, poses, ways, kNoise}, 1};
}

const Pose2 kEarlier{-0.4, -0.3, 0.2};
const Pose2 kLater{0.3, -0.5, 1.9};

TEST(Verification, SameRoomIsAcceptedAndPlacedToAMillimetre) {
  const Place earlier = place_at(crooked_room(), kEarlier);
  const Place later = place_at(crooked_room(), kLater);
  const Pose2 truth = between(kEarlier, kLater);
  // From a good prediction without, and from poor ones with the correlative search.
  for (const auto& [error, sd_m, sd_rad] : {std::tuple{Pose2{0.02, -0.03, 0.01}, 0.04, 0.015},
                                            {Pose2{0.4, -0.3, 0.15}, 0.3, 0.1},
                                            {Pose2{-0.9, 0.7, -0.4}, 0.7, 0.25}}) {
    const Verified verified = verify(earlier, later, truth * error, covariance_of(sd_m, sd_rad), kNoise);
    EXPECT_EQ(verified.candidate.verdict, Verdict::accepted) << verified.candidate.reason;
    EXPECT_LT(apart_m(verified.candidate.found, truth), 0.002) << "predicted " << sd_m << " m off";
    EXPECT_LT(apart_rad(verified.candidate.found, truth), 0.001);
    EXPECT_GT(verified.candidate.overlap, 0.95);
    EXPECT_LT(verified.candidate.contradiction, 0.02);
    const double expected = log(error).dot(covariance_of(sd_m, sd_rad).inverse() * log(error));
    EXPECT_NEAR(verified.candidate.chi_squared, expected, 0.05 * expected + 0.1);
    const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> directions(verified.information);
    EXPECT_GT(directions.eigenvalues()[0], 1.0 / (0.02 * 0.02));  // a room holds all three directions
  }
}

TEST(Verification, CandidateNamesBothNodesAndThePrediction) {
  const Place earlier = place_at(crooked_room(), kEarlier);
  const Pose2 predicted{0.1, 0.2, 0.3};
  const Verified verified = verify(earlier, earlier, predicted, covariance_of(0.3, 0.2), kNoise);
  EXPECT_EQ(verified.candidate.from, earlier.node());
  EXPECT_EQ(verified.candidate.to, earlier.node());
  EXPECT_EQ(verified.candidate.predicted.x_m, predicted.x_m);
  EXPECT_FALSE(verified.candidate.reason.empty());
}

TEST(Verification, MirroredRoomIsRejected) {
  const Place earlier = place_at(crooked_room(), {});
  for (const double heading : {0.0, 1.0, std::numbers::pi}) {
    const Pose2 pose{0.2, 0.3, heading};
    const Place later = place_at(mirrored(crooked_room()), pose);
    for (const double sd : {0.03, 0.3}) {
      const Verified verified = verify(earlier, later, pose, covariance_of(sd, sd), kNoise);
      EXPECT_EQ(verified.candidate.verdict, Verdict::rejected) << heading << " sd " << sd;
    }
  }
}

// An identical room next door: geometry alone cannot tell it apart, the drift's bound can.
TEST(Verification, SameRoomFurtherAwayThanDriftAllowsIsRejected) {
  const Place earlier = place_at(crooked_room(), {});
  const Place later = place_at(moved(crooked_room(), {6.0, 0.0, 0.0}), {6.0, 0.0, 0.0});
  const Verified verified = verify(earlier, later, {6.0, 0.0, 0.0}, covariance_of(0.4, 0.1), kNoise);
  EXPECT_EQ(verified.candidate.verdict, Verdict::rejected);

  // Just outside of the gate: the match is found, and 0.15 m are five standard deviations.
  const Place beside = place_at(crooked_room(), {0.15, 0.0, 0.0});
  const Verified near = verify(earlier, beside, {}, covariance_of(0.03, 0.015), kNoise);
  EXPECT_EQ(near.candidate.verdict, Verdict::rejected);
  EXPECT_EQ(near.candidate.reason, "the match lies outside of what the drift allows");
  EXPECT_NEAR(near.candidate.chi_squared, 25.0, 1.0);
  EXPECT_EQ(near.fit, Fit::open) << "drift that was stated too small does not make the place another one";
}

TEST(Verification, AnotherRoomIsRejected) {
  const Place earlier = place_at(crooked_room(), {});
  const Scene long_room = closed_walls({{-1.2, -4.0}, {1.2, -4.0}, {1.2, 3.0}, {0.2, 4.0}, {-1.2, 4.0}});
  const Verified verified = verify(earlier, place_at(long_room, {}), {}, covariance_of(0.5, 0.3), kNoise);
  EXPECT_EQ(verified.candidate.verdict, Verdict::rejected);
  EXPECT_NE(verified.candidate.reason, "");
}

TEST(Verification, WallThroughFreeSpaceIsRejectedWithThatReason) {
  Scene divided = crooked_room();
  divided.emplace_back(Eigen::Vector2d(-2.0, 0.4), Eigen::Vector2d(0.2, 0.4));
  const Pose2 pose{0.3, -0.4, 0.2};
  const Place earlier = place_at(crooked_room(), pose);
  const Place later = place_at(divided, pose);
  const Verified verified = verify(earlier, later, {}, covariance_of(0.03, 0.015), kNoise);
  EXPECT_EQ(verified.candidate.verdict, Verdict::rejected);
  EXPECT_EQ(verified.candidate.reason, "walls stand where the earlier place was seen to be free");
  EXPECT_GT(verified.candidate.contradiction, 0.12);
  EXPECT_GT(verified.candidate.overlap, 0.70);
  // Seen in the other order it is the same contradiction.
  const Verified other = verify(later, earlier, {}, covariance_of(0.03, 0.015), kNoise);
  EXPECT_EQ(other.candidate.reason, "walls stand where the earlier place was seen to be free");
}

TEST(Verification, AMovedChairIsForgiven) {
  Scene with_box = crooked_room();
  for (const Segment& side : closed_walls({{1.0, -1.5}, {1.3, -1.5}, {1.3, -1.2}, {1.0, -1.2}})) {
    with_box.push_back(side);
  }
  const Place earlier = place_at(crooked_room(), kEarlier);
  const Place later = place_at(with_box, kEarlier * Pose2{0.1, 0.1, 0.5});
  const Verified verified = verify(earlier, later, {0.1, 0.1, 0.5}, covariance_of(0.1, 0.05), kNoise);
  EXPECT_EQ(verified.candidate.verdict, Verdict::accepted) << verified.candidate.reason;
  EXPECT_GT(verified.candidate.contradiction, 0.0);
  EXPECT_LT(apart_m(verified.candidate.found, Pose2{0.1, 0.1, 0.5}), 0.005);
}

// Two rooms joined by a door: from inside each hardly anything of the other is seen.
TEST(Verification, PlacesWithLittleInCommonAreRejected) {
  Scene rooms = closed_walls({{-4.0, -2.0}, {4.0, -2.0}, {4.0, 2.0}, {-4.0, 2.0}});
  rooms.emplace_back(Eigen::Vector2d(0.0, -2.0), Eigen::Vector2d(0.0, -0.4));
  rooms.emplace_back(Eigen::Vector2d(0.0, 0.4), Eigen::Vector2d(0.0, 2.0));
  const Pose2 left{-2.5, 1.2, 0.0};
  const Pose2 right{2.5, 1.2, 0.0};
  const Verified verified =
      verify(place_at(rooms, left), place_at(rooms, right), between(left, right), covariance_of(0.03, 0.015), kNoise);
  EXPECT_EQ(verified.candidate.verdict, Verdict::rejected);
  EXPECT_EQ(verified.candidate.reason, "the two places have too little in common");
}

// A corridor without ends in sight: along it nothing holds the match, so the prediction must.
TEST(Verification, AlongACorridorThePredictionStands) {
  const Scene corridor{{Eigen::Vector2d(-40.0, -0.8), Eigen::Vector2d(40.0, -0.8)},
                       {Eigen::Vector2d(40.0, 0.8), Eigen::Vector2d(-40.0, 0.8)}};
  const Place earlier = place_at(corridor, {});
  const Place later = place_at(corridor, {0.4, 0.1, 0.0});
  const Pose2 predicted{0.55, 0.16, 0.01};
  const Verified by_walls = verify(earlier, later, predicted, covariance_of(0.05, 0.01), kNoise);
  EXPECT_EQ(by_walls.fit, Fit::open) << "the walls do not tell how far along the corridor the place lies";
  VerificationOptions vouched;
  vouched.settled_by_walls = false;
  const Verified verified = verify(earlier, later, predicted, covariance_of(0.05, 0.01), kNoise, vouched);
  EXPECT_EQ(verified.fit, Fit::fits) << verified.candidate.reason;
  EXPECT_NEAR(verified.candidate.found.x_m, predicted.x_m, 0.01);
  EXPECT_NEAR(verified.candidate.found.y_m, 0.1, 0.003);
  EXPECT_NEAR(verified.candidate.found.heading_rad, 0.0, 0.002);
  EXPECT_LT(verified.information(0, 0), 0.01 * verified.information(1, 1));
}

// The prediction is metres and half a turn off, and says so.
TEST(Verification, AnywhereInTheRoomIsFound) {
  const Place earlier = place_at(crooked_room(), kEarlier);
  const Place later = place_at(crooked_room(), kLater);
  const Pose2 truth = between(kEarlier, kLater);
  const Eigen::Matrix3d anything = covariance_of(10.0, 3.0);
  const Verified verified = verify_anywhere(earlier, later, {7.0, -5.0, -1.0}, anything, kNoise);
  EXPECT_EQ(verified.fit, Fit::fits) << verified.candidate.reason;
  EXPECT_LT(apart_m(verified.candidate.found, truth), 0.002);
  EXPECT_LT(apart_rad(verified.candidate.found, truth), 0.001);
}

// Where nothing says that it is the same room, a wall of 1.4 m in seen free space is another room.
TEST(Verification, AnywhereAsksForMore) {
  const Eigen::Matrix3d anything = covariance_of(10.0, 3.0);
  const Place earlier = place_at(crooked_room(), kEarlier);
  Scene divided = crooked_room();
  divided.emplace_back(Eigen::Vector2d(-1.6, 0.5), Eigen::Vector2d(-0.2, 0.5));
  const Verified wall = verify_anywhere(earlier, place_at(divided, kLater), {}, anything, kNoise);
  EXPECT_EQ(wall.fit, Fit::contradicts);
  EXPECT_EQ(wall.candidate.verdict, Verdict::rejected);
  const Verified mirror = verify_anywhere(earlier, place_at(mirrored(crooked_room()), {}), {}, anything, kNoise);
  EXPECT_EQ(mirror.candidate.verdict, Verdict::rejected);
  const Scene corridor{{Eigen::Vector2d(-40.0, -0.8), Eigen::Vector2d(40.0, -0.8)},
                       {Eigen::Vector2d(40.0, 0.8), Eigen::Vector2d(-40.0, 0.8)}};
  const Verified open =
      verify_anywhere(place_at(corridor, {}), place_at(corridor, {5.0, 0.0, 0.0}), {}, anything, kNoise);
  EXPECT_EQ(open.fit, Fit::open);
}

}  // namespace
}  // namespace wainscot
