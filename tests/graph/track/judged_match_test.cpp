#include "graph/track/judged_match.hpp"

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "graph/track/match_surprise.hpp"
#include "tests/graph/tracked_room.hpp"

namespace wainscot {
namespace {

/// A scan in a room that a robot has seen, and where odometry puts it.
struct SeenAgain {
  TrackedRoom room{crooked_room(), {{-0.4, -0.3, 0.2}, {-0.2, -0.3, 0.4}, {0.0, -0.2, 0.6}}};
  Pose2 truth{0.2, -0.2, 0.7};
  Keyframe scan = keyframe_at(crooked_room(), truth, 3);
  std::vector<OdometryStep> steps;
  Rejoining rejoining;

  /// `off`: how far odometry is, with 2 cm and 0.6 degrees stated.
  JudgedMatch judged(const Pose2& off, const MatchCircumstances& circumstances) {
    PredictedStep step;
    step.to_s = 3.0;
    step.predicted = truth * off;
    step.covariance = Eigen::Vector3d(0.02 * 0.02, 0.02 * 0.02, 0.01 * 0.01).asDiagonal();
    step.unknown = circumstances.unknown;
    return judged_match(scan, step, room.walls(), OdometryPath(steps, {}), circumstances, {}, rejoining);
  }
  double error_m(const JudgedMatch& match) const {
    return (match.found.pose.translation() - truth.translation()).norm();
  }
};

TEST(JudgedMatch, IsTrustedWhereWallsAndOdometryAgree) {
  SeenAgain seen;
  const JudgedMatch match = seen.judged({0.02, -0.01, 0.005}, {});
  EXPECT_TRUE(match.trusted);
  EXPECT_LT(match.chi_squared, kPoseGate);
  EXPECT_LT(seen.error_m(match), 0.005);
}

// The robot was turned by hand: only a search leads back.
TEST(JudgedMatch, LooksForBetterPlacesWhereItMay) {
  SeenAgain seen;
  const Pose2 turned{0.0, 0.0, 0.9};
  const JudgedMatch match = seen.judged(turned, {false, true});
  EXPECT_TRUE(match.trusted);
  EXPECT_GT(match.chi_squared, kNoNoise);
  EXPECT_LT(seen.error_m(match), 0.02);
  const JudgedMatch without = seen.judged(turned, {false, false});
  EXPECT_LT(without.found.overlap, match.found.overlap);
}

TEST(JudgedMatch, AsksMoreWhereNothingIsKnownOfTheWay) {
  SeenAgain seen;
  EXPECT_TRUE(seen.judged({0.02, -0.01, 0.005}, {true, true}).trusted) << "nearly all of it fits";
  SeenAgain elsewhere;
  elsewhere.scan.points.resize(elsewhere.scan.points.size() / 4);
  for (ScanPoint& point : elsewhere.scan.points) point.x_m += 0.8F;
  EXPECT_FALSE(elsewhere.judged({}, {true, false}).trusted);
}

}  // namespace
}  // namespace wainscot
