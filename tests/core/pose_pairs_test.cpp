#include "core/pose_pairs.hpp"

#include <numbers>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(PosePairs, LeavesOutWhatIsOutsideAndKeepsTheEnds) {
  const std::vector<TimedPose> truth = {{1.0, {0, 0, 0}}, {3.0, {2, 0, 0}}};
  const std::vector<TimedPose> estimate = {{0.5, {}}, {1.0, {}}, {2.5, {}}, {3.0, {}}, {3.5, {}}};
  const std::vector<PosePair> pairs = paired_by_time(estimate, truth);
  ASSERT_EQ(pairs.size(), 3u);
  EXPECT_DOUBLE_EQ(pairs[0].truth.x_m, 0.0);
  EXPECT_DOUBLE_EQ(pairs[1].time_s, 2.5);
  EXPECT_DOUBLE_EQ(pairs[1].truth.x_m, 1.5);
  EXPECT_DOUBLE_EQ(pairs[2].truth.x_m, 2.0);
}

TEST(PosePairs, TurnsTheShortWayRound) {
  const double almost = std::numbers::pi - 0.1;
  const std::vector<TimedPose> truth = {{0.0, {0, 0, almost}}, {1.0, {0, 0, -almost}}};
  const std::vector<TimedPose> estimate = {{0.5, {}}};
  const std::vector<PosePair> pairs = paired_by_time(estimate, truth);
  ASSERT_EQ(pairs.size(), 1u);
  EXPECT_NEAR(wrap_angle(pairs[0].truth.heading_rad - std::numbers::pi), 0.0, 1e-12);
}

TEST(PosePairs, OfNothingAreNone) {
  const std::vector<TimedPose> some = {{0.0, {}}, {1.0, {}}};
  EXPECT_TRUE(paired_by_time(some, {}).empty());
  EXPECT_TRUE(paired_by_time({}, some).empty());
}

}  // namespace
}  // namespace wainscot
