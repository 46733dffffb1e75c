#include "graph/adjust/joint_adjustment.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "core/angles.hpp"
#include "core/chi_squared.hpp"
#include "tests/graph/scene.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

using simulator::Knob;

double sd_of(const JointResult& joint, Constant constant) {
  return std::sqrt(joint.constant_covariance(constant, constant));
}

/// The adjustment of the ring house with some defects.
struct Case {
  DrivenHouse house;
  JointResult joint;

  explicit Case(const simulator::Plan& plan, std::uint64_t seed = 1, const JointOptions& options = {})
      : house(driven(plan, seed)) {
    // The simulator states the noise of a robot without slip, which would hold wrong constants for true.
    house.drive.robot.motion_noise = {};
    joint = adjusted(house.drive, options).joint;
  }
  TrajectoryError error() const { return error_of(joint, house.truth); }
  double change(Constant constant) const { return joint.constants.change[constant]; }
};

TEST(JointAdjustment, PerfectDriveGivesTheTruth) {
  const Case perfect(ring_house());
  EXPECT_LT(perfect.error().position_max_m, 0.001);
  EXPECT_LT(perfect.error().heading_max_rad, 0.03 * kDegree);
  EXPECT_LT(std::abs(perfect.change(kMountingX)), 0.001);
  EXPECT_LT(std::abs(perfect.change(kMountingY)), 0.001);
  EXPECT_LT(std::abs(perfect.change(kMountingHeading)), 0.03 * kDegree);
  EXPECT_LT(std::abs(perfect.change(kRangeScale)), 0.001);
  EXPECT_LT(std::abs(perfect.change(kTimeOffset)), 0.002);
  EXPECT_LT(perfect.joint.residual_rms_m, 0.002);
}

TEST(JointAdjustment, RecoversAMountingError) {
  simulator::Plan plan = ring_house();
  plan.defects.mounting_x_error_m = Knob::fixed(0.009);
  plan.defects.mounting_y_error_m = Knob::fixed(-0.009);
  plan.defects.mounting_heading_error_deg = Knob::fixed(0.35);
  const Case found(plan);
  EXPECT_NEAR(found.change(kMountingX), 0.009, 0.001);
  EXPECT_NEAR(found.change(kMountingY), -0.009, 0.001);
  EXPECT_NEAR(found.change(kMountingHeading), 0.35 * kDegree, 0.03 * kDegree);
  EXPECT_LT(found.error().position_rmse_m, 0.0015);
  EXPECT_LT(sd_of(found.joint, kMountingX), 0.005);
}

// Wheels that are known to 0.1 % would make the map of a skidding robot too large by half of the 15 % of slip times the
// share of turning in its way.
TEST(JointAdjustment, WhatSlipCountsTooMuchIsNoScale) {
  simulator::Plan plan = ring_house();
  plan.defects.left_m_per_tick_error_rel = Knob::normal(0.0, 0.0003);
  plan.defects.right_m_per_tick_error_rel = Knob::normal(0.0, 0.0003);
  plan.defects.track_width_error_rel = Knob::normal(0.0, 0.01);
  plan.defects.slip_steady_rel = Knob::fixed(0.15);
  plan.uncertainties_stated = true;
  const Case found(plan);
  EXPECT_NEAR(found.change(kSlipInTurns), -0.15 / 1.15, 0.03);
  EXPECT_LT(std::abs(found.change(kRangeScale)), 2.0 * sd_of(found.joint, kRangeScale));
  EXPECT_LT(sd_of(found.joint, kRangeScale), 0.001);
}

TEST(JointAdjustment, RecoversATimeOffset) {
  simulator::Plan plan = ring_house();
  plan.defects.stamp_delay_s = Knob::fixed(0.020);  // stamps are late, so the offset to be added is negative
  const Case found(plan);
  EXPECT_NEAR(found.change(kTimeOffset), -0.020, 0.001);
  EXPECT_LT(found.error().position_rmse_m, 0.0015);
}

TEST(JointAdjustment, RecoversWheelConstants) {
  simulator::Plan plan = ring_house();
  plan.defects.left_m_per_tick_error_rel = Knob::fixed(0.01);
  plan.defects.right_m_per_tick_error_rel = Knob::fixed(-0.01);
  plan.defects.track_width_error_rel = Knob::fixed(0.01);
  const Case found(plan);
  const double width = found.house.drive.robot.drive->track_width_m;
  // Stated = true * (1 + error), so left is to be made 1 % smaller, right 1 % greater, and the width 1 % smaller.
  EXPECT_NEAR(found.change(kCurvature), 0.02 / width, 0.0006 / width);
  EXPECT_NEAR(found.change(kTurnScale), 0.01, 0.001);
  EXPECT_NEAR(found.change(kDistanceScale), 0.0, 0.001);
  EXPECT_LT(found.error().position_rmse_m, 0.0015);
}

TEST(JointAdjustment, RecoversBothWheelsTooLarge) {
  simulator::Plan plan = ring_house();
  plan.defects.left_m_per_tick_error_rel = Knob::fixed(0.01);
  plan.defects.right_m_per_tick_error_rel = Knob::fixed(0.01);
  const Case found(plan);
  // The range scale is known to 0.5 % beforehand, the wheels to 1 %: the error is shared, mostly in the wheels' favour
  // of being wrong, and what is left stands in the stated uncertainty.
  EXPECT_NEAR(found.change(kDistanceScale) - found.change(kRangeScale), -0.01, 0.001);
  EXPECT_LT(std::abs(found.change(kRangeScale)), 2.0 * sd_of(found.joint, kRangeScale));
  const TrajectoryError shape = [&] {
    std::vector<TimedPose> path;
    for (std::size_t i = 0; i < found.joint.poses.size(); ++i) {
      path.push_back({found.joint.keyframes[i].time_s, found.joint.poses[i]});
    }
    return absolute_trajectory_error(path, found.house.truth.trajectory, Alignment::with_scale);
  }();
  EXPECT_LT(shape.position_rmse_m, 0.0015);
}

simulator::Plan noisy_house() {
  simulator::Plan plan = ring_house();
  plan.defects.range_noise_m = Knob::fixed(0.015);
  plan.uncertainties_stated = false;
  return plan;
}

/// The walls of a plan cut into pieces, so that each is a surface of its own.
std::vector<simulator::Wall> in_pieces(const std::vector<simulator::Wall>& walls, double longest_m) {
  std::vector<simulator::Wall> pieces;
  for (const simulator::Wall& wall : walls) {
    const Eigen::Vector2d from(wall.from.x_m, wall.from.y_m);
    const Eigen::Vector2d way = Eigen::Vector2d(wall.to.x_m, wall.to.y_m) - from;
    double begin_m = 0.0;
    const auto cut_until = [&](double end_m) {
      const int count = static_cast<int>(std::ceil((end_m - begin_m) / longest_m));
      const auto at = [&](int i) {
        const Eigen::Vector2d place = from + (begin_m + i * (end_m - begin_m) / count) / way.norm() * way;
        return simulator::Point{place.x(), place.y()};
      };
      for (int i = 0; i < count; ++i) pieces.push_back({at(i), at(i + 1), wall.thickness_m, {}});
    };
    for (const simulator::Opening& opening : wall.openings) {
      cut_until(opening.at_m - 0.5 * opening.width_m);
      begin_m = opening.at_m + 0.5 * opening.width_m;
    }
    cut_until(way.norm());
  }
  return pieces;
}

/// The same as the adjustment takes walls to be: ranges to each piece are off by an amount of its own.
simulator::Plan noisy_rough_house() {
  simulator::Plan plan = noisy_house();
  plan.walls = in_pieces(plan.walls, 0.8);
  plan.defects.surface_bias_m = Knob::normal(0.0, WallModel().piece_bias_sd_m);
  return plan;
}

// A fit that is better for a smaller house would pull the scale down at every noise.
TEST(JointAdjustment, NoiseDoesNotMoveTheScale) {
  const int drives = kSlowBuild ? 1 : 3;
  double squares = 0.0;
  for (int seed = 1; seed <= drives; ++seed) {
    const Case noisy(noisy_house(), static_cast<std::uint64_t>(seed));
    const double normalised = noisy.change(kRangeScale) / sd_of(noisy.joint, kRangeScale);
    EXPECT_LT(std::abs(normalised), 2.0) << "seed " << seed;
    squares += normalised * normalised / drives;
    EXPECT_LT(noisy.error().position_rmse_m, 0.008);
    EXPECT_NEAR(noisy.joint.residual_rms_m, 0.015, 0.004);
  }
  EXPECT_LT(std::sqrt(squares), 1.0);
}

/// Of heading and position across the way between two places: what does not change with the scale, of which the robots
/// of noisy_house() state that it is open while it is right. `there_here`: from one to the other.
Eigen::Matrix<double, 2, 3> across_the_way(const Pose2& there_here) {
  const Eigen::Vector2d way = inverse(there_here).translation().normalized();
  Eigen::Matrix<double, 2, 3> result = Eigen::Matrix<double, 2, 3>::Zero();
  result.topLeftCorner<1, 2>() << -way.y(), way.x();
  result(1, 2) = 1.0;
  return result;
}

double chi_squared_of(const Eigen::Vector2d& error, const Eigen::Matrix2d& covariance) {
  return error.dot(covariance.inverse() * error);
}

/// Of each node of a drive but the first: chi squared of the pose, three degrees of freedom, and of what lies across.
struct NodeChiSquared {
  std::vector<double> pose;
  std::vector<double> across;
};

NodeChiSquared chi_squared_of_nodes(const Case& driven) {
  NodeChiSquared result;
  const JointResult& joint = driven.joint;
  const Pose2 start = driven.house.true_pose(joint.keyframes.front().time_s);
  for (std::size_t i = 1; i < joint.poses.size(); ++i) {
    const Pose2 truth = between(start, driven.house.true_pose(joint.keyframes[i].time_s));
    const Tangent2 error = log(between(truth, between(joint.poses.front(), joint.poses[i])));
    const Eigen::Matrix3d& covariance = joint.covariances[i];
    EXPECT_GT(Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(covariance).eigenvalues()[0], 0.0);
    result.pose.push_back(error.dot(covariance.inverse() * error));
    const Eigen::Matrix<double, 2, 3> across = across_the_way(truth);
    result.across.push_back(chi_squared_of(across * error, across * covariance * across.transpose()));
  }
  return result;
}

// Of each drive the node in its middle: those of one drive share errors, those of different drives do not, so that the
// sum is chi squared with two degrees of freedom a drive. One in a thousand such sums lies outside of these bounds.
TEST(JointAdjustment, StatedUncertaintyOfPosesHoldsTheErrors) {
  const int drives = kSlowBuild ? 3 : 24;
  double sum = 0.0;
  for (int seed = 1; seed <= drives; ++seed) {
    const NodeChiSquared of_nodes = chi_squared_of_nodes(Case(noisy_rough_house(), static_cast<std::uint64_t>(seed)));
    sum += of_nodes.across[of_nodes.across.size() / 2];
    const auto within =
        std::count_if(of_nodes.pose.begin(), of_nodes.pose.end(), [](double c) { return c < kPoseGate; });
    EXPECT_GT(static_cast<double>(within), 0.9 * static_cast<double>(of_nodes.pose.size())) << "seed " << seed;
  }
  EXPECT_GT(sum, chi_squared_quantile(0.0005, 2 * drives));
  EXPECT_LT(sum, chi_squared_quantile(0.9995, 2 * drives));
}

// The same of pairs of nodes that are a way apart. This house's walls are without the roughness that the adjustment
// allows for, which is most of what near nodes err by: the errors may be half as large as stated.
TEST(JointAdjustment, StatedUncertaintyOfPairsHoldsTheErrors) {
  const int drives = kSlowBuild ? 3 : 24;
  JointOptions options;
  constexpr std::size_t kApart = 8;
  constexpr std::size_t kMost = 400;  // more than there are nodes
  for (std::size_t i = 0; i < kMost; ++i) options.pairs.push_back({i, i + kApart});
  options.pairs.push_back({3, 3});
  double sum = 0.0;
  for (int seed = 1; seed <= drives; ++seed) {
    const Case driven(noisy_house(), static_cast<std::uint64_t>(seed), options);
    const JointResult& joint = driven.joint;
    ASSERT_EQ(joint.pair_covariances.size(), options.pairs.size());
    EXPECT_FALSE(joint.pair_covariances.back()) << "no two nodes";
    EXPECT_FALSE(joint.pair_covariances[kMost - 1]) << "there are no such nodes";
    std::size_t middle = joint.poses.size() / 2;
    while (!joint.pair_covariances[middle]) ++middle;
    const auto truth_at = [&](std::size_t node) { return driven.house.true_pose(joint.keyframes[node].time_s); };
    const Pose2 truth = between(truth_at(middle), truth_at(middle + kApart));
    const Tangent2 error = log(between(truth, between(joint.poses[middle], joint.poses[middle + kApart])));
    const Eigen::Matrix<double, 2, 3> across = across_the_way(truth);
    sum += chi_squared_of(across * error, across * *joint.pair_covariances[middle] * across.transpose());
    if (joint.pair_covariances[0]) {
      EXPECT_LT((*joint.pair_covariances[0] - joint.covariances[kApart]).norm(),
                0.1 * joint.covariances[kApart].norm());
    }
  }
  EXPECT_GT(sum, 0.25 * chi_squared_quantile(0.0005, 2 * drives));
  EXPECT_LT(sum, chi_squared_quantile(0.9995, 2 * drives));
}

// Counters of 10 mm leave the heading of a moment open by more than anything else does, and no residual shows it:
// without that in them, half of the regions hold.
TEST(JointAdjustment, StatedUncertaintyHoldsWhatCoarseCountsLeaveOpen) {
  simulator::Plan plan = noisy_house();
  plan.robot.left_m_per_tick = plan.robot.right_m_per_tick = 0.01;
  const std::vector<double> of_nodes = chi_squared_of_nodes(Case(plan)).pose;
  const auto within = std::count_if(of_nodes.begin(), of_nodes.end(), [](double c) { return c < kPoseGate; });
  EXPECT_GT(static_cast<double>(within), 0.9 * static_cast<double>(of_nodes.size()));
}

TEST(JointAdjustment, AGoodDriveSettles) {
  const Case perfect(ring_house(1));
  EXPECT_TRUE(perfect.joint.converged());
  EXPECT_EQ(perfect.joint.rounds_done, JointOptions().rounds);
  EXPECT_LT(perfect.joint.last_move_m, 0.002);
}

// Odometry of which it is not known how well it measures poisons the equations: nothing may be moved by them, nothing
// that comes back may be poisoned, and the result says so.
TEST(JointAdjustment, EquationsThatAreNotFiniteMoveNothing) {
  DrivenHouse house = driven(ring_house(1));
  const AdjustedHouse good = adjusted(house.drive);
  std::vector<Pose2> poses;
  for (const Node& node : good.closed.graph.nodes) poses.push_back(node.pose);
  house.drive.robot.motion_noise.sd_m_per_sqrt_m = std::numeric_limits<double>::quiet_NaN();
  const JointResult poisoned = adjust_jointly(house.drive, good.steps, good.tracked.keyframes, poses, {}, 1, {});
  EXPECT_FALSE(poisoned.converged());
  EXPECT_EQ(poisoned.end, AdjustmentEnd::unsolvable);
  EXPECT_EQ(poisoned.rounds_done, 0);
  ASSERT_EQ(poisoned.poses.size(), poses.size());
  ASSERT_EQ(poisoned.covariances.size(), poses.size());
  for (std::size_t i = 0; i < poses.size(); ++i) {
    EXPECT_EQ(apart_m(poisoned.poses[i], poses[i]), 0.0);
    EXPECT_TRUE(poisoned.covariances[i].allFinite());
    EXPECT_TRUE(i == 0 || poisoned.covariances[i](0, 0) > 0.5) << "nothing is known of it";
  }
  EXPECT_EQ(poisoned.constants.change.norm(), 0.0);
  EXPECT_TRUE(poisoned.constant_covariance.allFinite());
  EXPECT_GT(poisoned.pieces.lines().size(), 50u);
}

TEST(JointAdjustment, ConstantsActAsTheirNamesSay) {
  Constants constants;
  constants.change[kMountingX] = 0.01;
  constants.change[kMountingHeading] = 0.02;
  constants.change[kRangeScale] = 0.003;
  constants.change[kRangeOffset] = 0.004;
  constants.change[kTimeOffset] = 0.05;
  constants.change[kClockRate] = 1e-3;
  constants.change[kTurnScale] = 0.06;
  LidarConstants stated;
  stated.x_m = 0.1;
  stated.heading_deg = 90.0;
  stated.range_scale = 1.01;
  const LidarModel lidar = constants.lidar(stated);
  EXPECT_NEAR(lidar.mounting.x_m, 0.11, 1e-12);
  EXPECT_NEAR(lidar.mounting.heading_rad, std::numbers::pi / 2 + 0.02, 1e-12);
  EXPECT_NEAR(lidar.range_scale, 1.01 * 1.003, 1e-12);
  EXPECT_NEAR(lidar.range_offset_m, 0.004, 1e-12);
  EXPECT_NEAR(constants.wheel_time_s(110.0, 100.0), 110.0 + 0.05 + 0.01, 1e-12);
  EXPECT_EQ(constants.odometry().turn_scale, 0.06);
  EXPECT_EQ(constants.odometry().distance_scale, 0.0);
}

// The prior of the wheels is linear in the relative errors of left, right and width; here against 200,000 draws.
TEST(JointAdjustment, PriorOfTheWheelsAgreesWithMonteCarlo) {
  Drive drive;
  drive.wheels.resize(2);
  drive.robot.drive.emplace();
  DriveConstants& d = *drive.robot.drive;
  d = {1e-4, 2e-4, 0.3, 2e-7, 3e-7, 0.004, {}, 32};
  const ConstantMatrix prior = constant_prior(drive);
  std::mt19937 random(6);
  std::normal_distribution<double> normal;
  Eigen::Matrix3d seen = Eigen::Matrix3d::Zero();
  constexpr int kDraws = 200000;
  for (int i = 0; i < kDraws; ++i) {
    const double left = 1.0 + 0.002 * normal(random);
    const double right = 1.0 + 0.0015 * normal(random);
    const double width = 0.3 + 0.004 * normal(random);
    // One metre straight on, and one radian on the spot, with the stated and with the true constants.
    const double way = 0.5 * (left + right);
    const double turn = (0.5 * 0.3 * right + 0.5 * 0.3 * left) / width;
    const double curve = (right - left) / width;
    const Eigen::Vector3d errors(way - 1.0, turn - 1.0, curve);
    seen += errors * errors.transpose() / kDraws;
  }
  for (int i = 0; i < 3; ++i) {
    for (int j = 0; j < 3; ++j) {
      const double scale = std::sqrt(seen(i, i) * seen(j, j));
      EXPECT_NEAR(prior(kDistanceScale + i, kDistanceScale + j) / scale, seen(i, j) / scale, 0.02) << i << " " << j;
    }
  }
}

TEST(JointAdjustment, ADriveWithoutGyroHoldsItsConstants) {
  Drive drive;
  EXPECT_LT(constant_prior(drive)(kGyroScale, kGyroScale), 1e-12);
  // A gyro at rest for ten seconds: long enough to know its bias.
  for (int i = 0; i <= 100; ++i) {
    drive.odometry.push_back({0.1 * i, {}});
    drive.gyro.push_back({0.1 * i, 0.01});
  }
  EXPECT_GT(constant_prior(drive)(kGyroScale, kGyroScale), 1e-6);
}

}  // namespace
}  // namespace wainscot
