#include "core/path_comparison.hpp"

#include <stdexcept>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(PathComparison, GivesEveryMeasureOfOnePair) {
  std::vector<TimedPose> reference;
  std::vector<TimedPose> estimate;
  Pose2 pose;
  for (int i = 0; i < 400; ++i) {
    reference.push_back({0.1 * i, pose});
    estimate.push_back({0.1 * i, Pose2{3.0, -1.0, 0.7} * Pose2{1.01 * pose.x_m, 1.01 * pose.y_m, pose.heading_rad}});
    pose = pose * exp({0.1, 0.0, i % 100 < 50 ? 0.07 : -0.03});
  }
  const PathComparison found = compare_path("long", estimate, reference);
  EXPECT_EQ(found.name, "long");
  EXPECT_EQ(found.poses.size(), 400u);
  EXPECT_NEAR(found.shape.scale, 1.0 / 1.01, 1e-9);
  EXPECT_NEAR(found.shape.position_max_m, 0.0, 1e-9);
  EXPECT_NEAR(found.drift.way_m_per_m, 0.01, 1e-6);
  EXPECT_NEAR(found.drift.heading_rad_per_m, 0.0, 1e-9);
  // Stretches as far as the path of 40 m is long.
  ASSERT_EQ(found.over_way.size(), 6u);
  EXPECT_DOUBLE_EQ(found.over_way.back().way_m, 20.0);
  EXPECT_EQ(found.over_way[1].error.position_rmse_m, found.over_metre.position_rmse_m);
  EXPECT_GT(found.over_turn.pairs, 0u);
}

TEST(PathComparison, NeedsTimesInCommon) {
  const std::vector<TimedPose> early = {{0.0, {}}, {1.0, {}}};
  const std::vector<TimedPose> late = {{5.0, {}}, {6.0, {}}};
  EXPECT_THROW(compare_path("late", late, early), std::invalid_argument);
}

}  // namespace
}  // namespace wainscot
