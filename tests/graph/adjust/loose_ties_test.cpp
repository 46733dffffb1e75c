#include "graph/adjust/loose_ties.hpp"

#include <cmath>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// Nodes a metre and a second apart along the x axis, and the odometry between them.
struct StraightPath {
  std::vector<OdometryStep> steps;
  std::vector<double> times_s;
  std::vector<Pose2> poses;

  explicit StraightPath(std::size_t nodes) {
    for (std::size_t i = 0; i < nodes; ++i) {
      times_s.push_back(static_cast<double>(i));
      poses.push_back({static_cast<double>(i), 0.0, 0.0});
      if (i == 0) continue;
      OdometryStep step;
      step.begin_s = times_s[i - 1];
      step.end_s = times_s[i];
      step.motion = {1.0, 0.0, 0.0};
      steps.push_back(step);
    }
  }

  std::vector<Eigen::Matrix3d> of(const std::vector<std::size_t>& tied) const {
    return loose_tie_covariances(steps, {}, times_s, poses, tied);
  }
};

double position_sd_m(const Eigen::Matrix3d& covariance) { return std::sqrt(covariance.topLeftCorner<2, 2>().trace()); }

TEST(LooseTies, OfOneSetNothingIsAdded) {
  for (const Eigen::Matrix3d& covariance : StraightPath(5).of({0, 0, 0, 0, 0})) EXPECT_TRUE(covariance.isZero());
}

// A heading that slipped by 0.1 rad swings what lies beyond.
TEST(LooseTies, ASlipThatNobodySawMovesAndTurnsWhatFollows) {
  StraightPath path(8);
  path.steps[1].slip_variance = {0.04, 0.04, 0.01};  // within a set: nothing is loose
  path.steps[2].slip_variance = {0.04, 0.04, 0.01};  // on the way to node 3
  const std::vector<Eigen::Matrix3d> loose = path.of({0, 0, 0, 3, 3, 3, 3, 3});
  for (const std::size_t joined : {0U, 1U, 2U}) EXPECT_TRUE(loose[joined].isZero()) << joined;
  EXPECT_NEAR(std::sqrt(loose[3](2, 2)), 0.1, 0.02);
  EXPECT_NEAR(loose[7](2, 2), loose[3](2, 2), 1e-12);
  EXPECT_NEAR(position_sd_m(loose[3]), std::sqrt(0.08), 0.01);
  EXPECT_NEAR(loose[7](1, 1) - loose[3](1, 1), 0.01 * 4.0 * 4.0, 0.02) << "four metres further";
}

// In the middle of the path, the surer of its two ends counts.
TEST(LooseTies, ASetIsAsSureAsItsSurestTie) {
  StraightPath path(9);
  path.steps[2].unknown = true;                        // to node 3
  path.steps[4].slip_variance = {0.01, 0.01, 0.0001};  // to node 5
  const std::vector<Eigen::Matrix3d> loose = path.of({0, 0, 0, 3, 3, 0, 0, 0, 0});
  EXPECT_TRUE(loose[8].isZero());
  for (const std::size_t between : {3U, 4U}) EXPECT_NEAR(position_sd_m(loose[between]), 0.15, 0.05) << between;
  EXPECT_GT(position_sd_m(path.of({0, 0, 0, 3, 3, 3, 3, 3, 3})[3]), 100.0);
}

}  // namespace
}  // namespace wainscot
