#include "graph/track/rejoining.hpp"

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/tracked_room.hpp"

namespace wainscot {
namespace {

/// A robot that drives straight on at 0.1 m/s through a room that an earlier drive has seen.
struct Returned {
  TrackedRoom room;
  std::vector<OdometryStep> steps;
  Rejoining rejoining;

  explicit Returned(const Scene& seen = crooked_room())
      : room(seen, {{-0.4, -0.3, 0.2}, {-0.2, -0.3, 0.4}, {0.0, -0.2, 0.6}}) {
    OdometryStep step;
    step.end_s = 100.0;
    step.motion = {10.0, 0.0, 0.0};
    steps.push_back(step);
  }

  Pose2 truth(double time_s) const { return {-0.5 + 0.1 * time_s, -0.4, 0.0}; }

  /// Whether the scan that was taken at `time_s` is believed to be at its true place, off by `error`.
  bool accepts(double time_s, const Pose2& error = {}, double open_m = 0.01,
               const std::optional<TimedPose>& guessed_from = {}) {
    const OdometryPath path(steps, {});
    const std::vector<ScanPoint> points = keyframe_at(crooked_room(), truth(time_s)).points;
    IcpResult found;
    found.pose = truth(time_s) * error;
    found.information = information_of(open_m, 0.01);
    return rejoining.accepts(time_s, points, found, room.walls(), path, guessed_from);
  }
};

/// Three of the room's walls: nobody has seen the others.
Scene half_known() {
  const Scene room = crooked_room();
  return {room.begin(), room.begin() + 3};
}

TEST(Rejoining, OneScanIsEnoughWhereNearlyAllOfItFits) {
  Returned returned;
  EXPECT_TRUE(returned.accepts(2.0));
}

TEST(Rejoining, OneScanIsNotWhereTheWallsLeaveItsPlaceOpen) {
  Returned returned;
  EXPECT_FALSE(returned.accepts(2.0, {}, 0.3));
  EXPECT_TRUE(returned.accepts(3.0, {}, 0.3)) << "another one agrees";
}

TEST(Rejoining, AScanThatFitsNowhereIsNone) {
  Returned returned;
  EXPECT_FALSE(returned.accepts(2.0, {0.7, 0.5, 0.4}));
  EXPECT_FALSE(returned.accepts(5.0, {0.7, 0.5, 0.4}));
}

TEST(Rejoining, TwoScansThatHalfFitHaveToAgree) {
  Returned returned(half_known());
  EXPECT_FALSE(returned.accepts(2.0));
  EXPECT_FALSE(returned.accepts(3.0, {0.4, 0.0, 0.0})) << "it says something else";
  EXPECT_TRUE(returned.accepts(5.0));
  returned.rejoining.forget();
  EXPECT_FALSE(returned.accepts(6.0));
}

TEST(Rejoining, AScanThatHalfFitsIsEnoughWhereOdometryGuessesAsMuch) {
  Returned returned(half_known());
  const TimedPose known{1.0, returned.truth(1.0)};
  const TimedPose elsewhere{1.0, returned.truth(1.0) * Pose2{0.4, 0.0, 0.0}};
  EXPECT_FALSE(returned.accepts(2.0, {}, 0.01, elsewhere));
  returned.rejoining.forget();
  EXPECT_TRUE(returned.accepts(2.0, {}, 0.01, known));
}

}  // namespace
}  // namespace wainscot
