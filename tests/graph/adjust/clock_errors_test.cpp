#include "graph/adjust/clock_errors.hpp"

#include <cmath>
#include <cstddef>
#include <random>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

constexpr double kTurnRadS = 0.5;
constexpr double kSpeedMS = 0.3;

/// A robot that stands for a second, then turns on the spot for two, then drives straight for three; a node a second.
struct Timed {
  Drive drive;
  std::vector<OdometryStep> steps;
  JointResult adjusted;

  Timed(double offset_sd_s, double rate_sd) {
    constexpr double kStepS = 0.05;
    for (int i = 0; i < 120; ++i) {
      const double begin_s = kStepS * i;
      OdometryStep step;
      step.begin_s = begin_s;
      step.end_s = kStepS * (i + 1);
      if (i >= 20 && i < 60) step.motion.z() = kTurnRadS * kStepS;
      if (i >= 60) step.motion.x() = kSpeedMS * kStepS;
      steps.push_back(step);
    }
    const OdometryPath path(steps, {});
    for (const double time_s : {0.5, 1.5, 2.5, 3.5, 4.5, 5.5}) {
      Scan scan;
      scan.time_s = time_s;
      drive.scans.push_back(scan);
      Keyframe keyframe;
      keyframe.scan = drive.scans.size() - 1;
      keyframe.time_s = time_s;
      adjusted.keyframes.push_back(keyframe);
      adjusted.poses.push_back(path.pose_at(time_s));
    }
    adjusted.middle_s = 3.0;
    adjusted.constant_covariance.setZero();
    adjusted.constant_covariance(kTimeOffset, kTimeOffset) = offset_sd_s * offset_sd_s;
    adjusted.constant_covariance(kClockRate, kClockRate) = rate_sd * rate_sd;
  }
  Eigen::Matrix3d covariance(std::size_t from, std::size_t to) const {
    return ClockErrors(drive, steps, adjusted).covariance(from, to);
  }
};

TEST(ClockErrors, ATurningRobotIsOffByItsTurnRateTimesTheDelay) {
  const Eigen::Matrix3d turning = Timed(0.02, 0.0).covariance(0, 1);
  EXPECT_NEAR(std::sqrt(turning(2, 2)), 0.02 * kTurnRadS, 1e-9);
  EXPECT_NEAR(turning(0, 0), 0.0, 1e-12);
  const Eigen::Matrix3d driving = Timed(0.02, 0.0).covariance(0, 4);
  EXPECT_NEAR(std::sqrt(driving(0, 0)), 0.02 * kSpeedMS, 1e-9);
  EXPECT_NEAR(driving(2, 2), 0.0, 1e-12);
}

TEST(ClockErrors, WhatBothNodesShareIsNoErrorBetweenThem) {
  EXPECT_NEAR(Timed(0.02, 0.0).covariance(4, 5).norm(), 0.0, 1e-12) << "straight on at one speed";
  EXPECT_NEAR(Timed(0.0, 0.0).covariance(1, 4).norm(), 0.0, 1e-12) << "the clock is known";
}

// Against the definition: the clock drawn, the truth taken at the times that it gives.
TEST(ClockErrors, AgreeWithMonteCarlo) {
  constexpr int kDraws = 4000;
  const Timed timed(0.01, 0.002);
  const OdometryPath path(timed.steps, {});
  std::mt19937 random(3);
  std::normal_distribution<double> normal;
  Eigen::Matrix3d sum = Eigen::Matrix3d::Zero();
  for (int i = 0; i < kDraws; ++i) {
    const double offset_s = 0.01 * normal(random);
    const double rate = 0.002 * normal(random);
    const auto truth = [&](std::size_t node) {
      const double time_s = timed.drive.scans[node].time_s;
      return path.pose_at(time_s + offset_s + rate * (time_s - timed.adjusted.middle_s));
    };
    const Pose2 found = between(timed.adjusted.poses[1], timed.adjusted.poses[4]);
    const Tangent2 error = log(between(between(truth(1), truth(4)), found));
    sum += error * error.transpose() / kDraws;
  }
  const Eigen::Matrix3d stated = timed.covariance(1, 4);
  EXPECT_LT((sum - stated).norm(), 4.0 * std::sqrt(2.0 / kDraws) * stated.norm());
}

}  // namespace
}  // namespace wainscot
