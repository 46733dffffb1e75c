#include "core/trajectory_error.hpp"

#include <cmath>
#include <numbers>
#include <random>
#include <stdexcept>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// A figure of eight, driven in `rows` rows of 0.1 s.
std::vector<TimedPose> figure_of_eight(int rows) {
  std::vector<TimedPose> path;
  Pose2 pose{1.0, -2.0, 0.3};
  for (int i = 0; i < rows; ++i) {
    path.push_back({0.1 * i, pose});
    const double turn = std::sin(0.05 * i) > 0.0 ? 0.06 : -0.06;
    pose = pose * exp({0.05, 0.0, turn});
  }
  return path;
}

std::vector<TimedPose> moved(std::vector<TimedPose> path, const Pose2& motion, double scale = 1.0) {
  for (TimedPose& row : path) {
    row.pose = motion * row.pose;
    row.pose.x_m *= scale;
    row.pose.y_m *= scale;
  }
  return path;
}

TEST(AbsoluteTrajectoryError, IsZeroForTheSamePathInAnotherFrame) {
  const std::vector<TimedPose> truth = figure_of_eight(400);
  const Pose2 frame{3.0, 4.0, 2.5};
  const TrajectoryError error = absolute_trajectory_error(moved(truth, frame), truth);
  EXPECT_EQ(error.pairs, truth.size());
  EXPECT_EQ(error.outside_truth, 0u);
  EXPECT_NEAR(error.position_max_m, 0.0, 1e-12);
  EXPECT_NEAR(error.heading_max_rad, 0.0, 1e-12);
  const Pose2 back = error.alignment * frame;
  EXPECT_NEAR(back.x_m, 0.0, 1e-12);
  EXPECT_NEAR(back.y_m, 0.0, 1e-12);
  EXPECT_NEAR(wrap_angle(back.heading_rad), 0.0, 1e-12);
}

TEST(AbsoluteTrajectoryError, CountsKnownOffsetsOfASquare) {
  // Corners of a square, each pushed outwards by 0.1 m along the diagonal: symmetric, so that no rigid motion helps.
  const std::vector<TimedPose> truth = {{0, {1, 1, 0}}, {1, {-1, 1, 0}}, {2, {-1, -1, 0}}, {3, {1, -1, 0}}};
  std::vector<TimedPose> estimate = truth;
  for (TimedPose& row : estimate) {
    row.pose.x_m *= 1.0 + 0.1 / std::sqrt(2.0);
    row.pose.y_m *= 1.0 + 0.1 / std::sqrt(2.0);
  }
  const TrajectoryError rigid = absolute_trajectory_error(estimate, truth);
  EXPECT_NEAR(rigid.position_rmse_m, 0.1, 1e-12);
  EXPECT_NEAR(rigid.position_median_m, 0.1, 1e-12);
  EXPECT_NEAR(rigid.position_max_m, 0.1, 1e-12);
  EXPECT_DOUBLE_EQ(rigid.scale, 1.0);
  const TrajectoryError scaled = absolute_trajectory_error(estimate, truth, Alignment::with_scale);
  EXPECT_NEAR(scaled.position_max_m, 0.0, 1e-12);
  EXPECT_NEAR(scaled.scale, 1.0 / (1.0 + 0.1 / std::sqrt(2.0)), 1e-12);
}

TEST(AbsoluteTrajectoryError, FindsTheScale) {
  const std::vector<TimedPose> truth = figure_of_eight(300);
  const TrajectoryError error = absolute_trajectory_error(moved(truth, {-1, 7, -3.0}, 1.005), truth,  //
                                                          Alignment::with_scale);
  EXPECT_NEAR(error.scale, 1.0 / 1.005, 1e-12);
  EXPECT_NEAR(error.position_max_m, 0.0, 1e-11);
}

TEST(AbsoluteTrajectoryError, IsTheSmallestOverAllRigidMotions) {
  // The closed form against random motions around it: none may be better.
  std::mt19937 random(7);
  std::normal_distribution<double> normal;
  const std::vector<TimedPose> truth = figure_of_eight(200);
  std::vector<TimedPose> estimate = truth;
  for (TimedPose& row : estimate) {
    row.pose.x_m += 0.2 * normal(random);
    row.pose.y_m += 0.2 * normal(random);
  }
  const TrajectoryError best = absolute_trajectory_error(estimate, truth);
  for (int trial = 0; trial < 200; ++trial) {
    Pose2 other = best.alignment;
    other.x_m += 0.01 * normal(random);
    other.y_m += 0.01 * normal(random);
    other.heading_rad += 0.01 * normal(random);
    double sum = 0.0;
    for (std::size_t i = 0; i < truth.size(); ++i) {
      sum += (other * estimate[i].pose.translation() - truth[i].pose.translation()).squaredNorm();
    }
    EXPECT_GE(std::sqrt(sum / static_cast<double>(truth.size())), best.position_rmse_m - 1e-12);
  }
}

TEST(AbsoluteTrajectoryError, InterpolatesTheTruthAlongArcsAndLeavesOutWhatIsOutside) {
  // A quarter of a circle of radius 2 m between two rows of truth.
  const std::vector<TimedPose> truth = {{10.0, {2, 0, std::numbers::pi / 2}}, {11.0, {0, 2, std::numbers::pi}}};
  std::vector<TimedPose> estimate;
  for (const double u : {-0.5, 0.0, 0.25, 0.5, 0.75, 1.0, 1.5}) {
    const double angle = u * std::numbers::pi / 2;
    estimate.push_back({10.0 + u, {2 * std::cos(angle), 2 * std::sin(angle), angle + std::numbers::pi / 2}});
  }
  const TrajectoryError error = absolute_trajectory_error(estimate, truth);
  EXPECT_EQ(error.pairs, 5u);
  EXPECT_EQ(error.outside_truth, 2u);
  EXPECT_NEAR(error.position_max_m, 0.0, 1e-12);
  EXPECT_NEAR(error.heading_max_rad, 0.0, 1e-12);
}

TEST(AbsoluteTrajectoryError, TakesWrappedHeadings) {
  const std::vector<TimedPose> truth = figure_of_eight(600);
  std::vector<TimedPose> wrapped = truth;
  int jumps = 0;
  for (std::size_t i = 0; i < truth.size(); ++i) {
    wrapped[i].pose.heading_rad = wrap_angle(truth[i].pose.heading_rad);
    jumps += i > 0 && std::abs(wrapped[i].pose.heading_rad - wrapped[i - 1].pose.heading_rad) > 3.0 ? 1 : 0;
  }
  ASSERT_GT(jumps, 2);
  // Half way between two rows, so that the truth is interpolated across each jump.
  std::vector<TimedPose> half_way;
  for (std::size_t i = 0; i + 1 < truth.size(); ++i) {
    half_way.push_back({truth[i].time_s + 0.05, interpolate(truth[i].pose, truth[i + 1].pose, 0.5)});
  }
  const TrajectoryError error = absolute_trajectory_error(half_way, wrapped);
  EXPECT_NEAR(error.position_max_m, 0.0, 1e-9);
  EXPECT_NEAR(error.heading_max_rad, 0.0, 1e-9);
}

TEST(AbsoluteTrajectoryError, AlignsATurnOnTheSpotByItsHeadings) {
  std::vector<TimedPose> truth;
  for (int i = 0; i < 50; ++i) {
    truth.push_back({0.1 * i, {0.0, 0.0, 0.2 * i}});
  }
  const TrajectoryError error = absolute_trajectory_error(moved(truth, {5, 6, 1.1}), truth);
  EXPECT_NEAR(error.heading_max_rad, 0.0, 1e-12);
  EXPECT_NEAR(error.position_max_m, 0.0, 1e-12);
}

TEST(AbsoluteTrajectoryError, RefusesPathsThatShareNoTime) {
  const std::vector<TimedPose> truth = figure_of_eight(10);
  std::vector<TimedPose> later = truth;
  for (TimedPose& row : later) {
    row.time_s += 100.0;
  }
  EXPECT_THROW(absolute_trajectory_error(later, truth), std::invalid_argument);
  EXPECT_THROW(absolute_trajectory_error(later, {}), std::invalid_argument);
  EXPECT_THROW(absolute_trajectory_error({}, truth), std::invalid_argument);
}

TEST(RelativePoseError, FindsAScaleErrorPerMetre) {
  std::vector<TimedPose> truth;
  std::vector<TimedPose> estimate;
  for (int i = 0; i <= 100; ++i) {
    truth.push_back({0.1 * i, {0.1 * i, 0.0, 0.0}});
    estimate.push_back({0.1 * i, Pose2{2, 3, 1} * Pose2{0.102 * i, 0.0, 0.0}});
  }
  const RelativePoseError error = relative_error_by_way(estimate, truth, 0.999999999);
  EXPECT_EQ(error.pairs, 91u);
  EXPECT_NEAR(error.position_rmse_m, 0.02, 1e-9);
  EXPECT_NEAR(error.position_max_m, 0.02, 1e-9);
  EXPECT_NEAR(error.heading_max_rad, 0.0, 1e-9);
}

TEST(RelativePoseError, FindsATrackWidthErrorPerTurn) {
  std::vector<TimedPose> truth;
  std::vector<TimedPose> estimate;
  for (int i = 0; i <= 300; ++i) {
    truth.push_back({0.1 * i, {0.0, 0.0, wrap_angle(2 * std::numbers::pi * i / 100)}});
    estimate.push_back({0.1 * i, {0.0, 0.0, wrap_angle(1.01 * 2 * std::numbers::pi * i / 100)}});
  }
  const RelativePoseError error = relative_error_by_turn(estimate, truth, 2 * std::numbers::pi - 1e-9);
  EXPECT_EQ(error.pairs, 201u);
  EXPECT_NEAR(error.heading_rmse_rad, 0.01 * 2 * std::numbers::pi, 1e-9);
}

TEST(RelativePoseError, SaysNothingOfAPathThatIsTooShort) {
  const std::vector<TimedPose> truth = figure_of_eight(5);
  EXPECT_EQ(relative_error_by_way(truth, truth, 100.0).pairs, 0u);
  EXPECT_THROW(relative_error_by_way(truth, truth, 0.0), std::invalid_argument);
}

}  // namespace
}  // namespace wainscot
