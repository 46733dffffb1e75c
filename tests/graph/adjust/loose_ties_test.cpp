#include "graph/adjust/loose_ties.hpp"

#include <cmath>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// Nodes a metre and a second apart along the x axis, and the odometry between them.
struct StraightPath {
  std::vector<OdometryStep> steps;
  JointResult result;

  explicit StraightPath(std::size_t nodes) {
    for (std::size_t i = 0; i < nodes; ++i) {
      Keyframe keyframe;
      keyframe.time_s = static_cast<double>(i);
      result.keyframes.push_back(keyframe);
      result.poses.push_back({static_cast<double>(i), 0.0, 0.0});
      result.covariances.push_back(1e-6 * Eigen::Matrix3d::Identity());
      if (i == 0) continue;
      OdometryStep step;
      step.begin_s = static_cast<double>(i - 1);
      step.end_s = static_cast<double>(i);
      step.motion = {1.0, 0.0, 0.0};
      steps.push_back(step);
    }
  }

  double position_sd_m(std::size_t node) const {
    return std::sqrt(result.covariances[node].topLeftCorner<2, 2>().trace());
  }
  double heading_sd_rad(std::size_t node) const { return std::sqrt(result.covariances[node](2, 2)); }
};

TEST(LooseTies, OfOneSetNothingIsAdded) {
  StraightPath path(5);
  add_loose_ties(path.steps, {0, 0, 0, 0, 0}, path.result);
  for (const Eigen::Matrix3d& covariance : path.result.covariances) EXPECT_EQ(covariance(0, 0), 1e-6);
}

// A heading that slipped by 0.1 rad swings what lies beyond.
TEST(LooseTies, ASlipThatNobodySawMovesAndTurnsTheSmallerSet) {
  StraightPath path(6);
  path.steps[2].slip_variance = {0.04, 0.04, 0.01};  // on the way to node 3
  add_loose_ties(path.steps, {0, 0, 0, 0, 4, 4}, path.result);
  EXPECT_NEAR(path.position_sd_m(3), 1e-3, 1e-3) << "within a set nothing is loose";
  StraightPath broken(8);
  broken.steps[2].slip_variance = {0.04, 0.04, 0.01};
  add_loose_ties(broken.steps, {0, 0, 0, 3, 3, 3, 3, 3}, broken.result);
  for (const std::size_t joined : {3U, 5U, 7U}) EXPECT_LT(broken.position_sd_m(joined), 0.002) << joined;
  EXPECT_NEAR(broken.heading_sd_rad(0), 0.1, 0.05);
  EXPECT_NEAR(broken.heading_sd_rad(1), broken.heading_sd_rad(0), 1e-9);
  EXPECT_GT(broken.position_sd_m(0), broken.position_sd_m(2) + 0.1) << "three metres from where it slipped";
  EXPECT_GT(broken.position_sd_m(2), 0.25);
}

// In the middle of the path, the surer of its two ends counts.
TEST(LooseTies, ASetIsAsSureAsItsSurestTie) {
  StraightPath path(9);
  path.steps[2].unknown = true;                        // to node 3
  path.steps[4].slip_variance = {0.01, 0.01, 0.0001};  // to node 5
  add_loose_ties(path.steps, {0, 0, 0, 3, 3, 0, 0, 0, 0}, path.result);
  EXPECT_LT(path.position_sd_m(8), 0.002);
  for (const std::size_t loose : {3U, 4U}) {
    EXPECT_GT(path.position_sd_m(loose), 0.14) << loose;
    EXPECT_LT(path.position_sd_m(loose), 0.3) << loose;
  }
  StraightPath alone(5);
  alone.steps[2].unknown = true;
  add_loose_ties(alone.steps, {0, 0, 0, 3, 3}, alone.result);
  EXPECT_GT(alone.position_sd_m(3), 100.0);
}

}  // namespace
}  // namespace wainscot
