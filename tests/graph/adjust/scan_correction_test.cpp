#include "graph/adjust/scan_correction.hpp"

#include <gtest/gtest.h>

#include "tests/graph/adjust/still_nodes.hpp"

namespace wainscot {
namespace {

TEST(ScanCorrection, TimesFollowTheClockAndPointsTheMounting) {
  const StillNodes still;
  AdjustmentState state = still.state();
  const Keyframe before = state.keyframes[1];
  state.constants.change[kTimeOffset] = 0.25;
  state.constants.change[kMountingX] = 0.1;
  correct_scans(still.problem(), state);
  EXPECT_DOUBLE_EQ(state.keyframes[1].time_s, before.time_s + 0.25);
  ASSERT_EQ(state.keyframes[1].points.size(), before.points.size());
  for (std::size_t i = 0; i < before.points.size(); ++i) {
    EXPECT_NEAR(state.keyframes[1].points[i].x_m, before.points[i].x_m + 0.1F, 1e-5F);
    EXPECT_NEAR(state.keyframes[1].points[i].y_m, before.points[i].y_m, 1e-5F);
  }
}

TEST(ScanCorrection, SweepVelocityIsThatOfTheWayToTheNext) {
  const std::vector<Keyframe> keyframes{{0, 0.0, {}}, {1, 2.0, {}}, {2, 12.0, {}}};
  const std::vector<Pose2> poses{{}, {0.4, 0.0, 0.0}, {1.4, 0.0, 0.0}};
  EXPECT_NEAR(sweep_velocity(keyframes, poses, 0).x(), 0.2, 1e-12);
  EXPECT_EQ(sweep_velocity(keyframes, poses, 1).norm(), 0.0) << "too long a stretch";
  EXPECT_EQ(sweep_velocity(keyframes, poses, 2).norm(), 0.0) << "the last: as the one before";
  EXPECT_EQ(sweep_velocity({{0, 0.0, {}}}, {{}}, 0).norm(), 0.0) << "one node alone";
}

}  // namespace
}  // namespace wainscot
