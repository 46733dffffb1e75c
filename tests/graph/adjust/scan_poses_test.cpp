#include "graph/adjust/scan_poses.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "scanmatch/icp.hpp"
#include "tests/graph/scene.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

/// A robot that drives a gentle curve, its scans empty of walls, held only by two nodes that disagree with odometry.
struct TwoNodes {
  Drive drive;
  std::vector<OdometryStep> steps;
  std::vector<std::size_t> scans;
  JointResult adjusted;

  explicit TwoNodes(const Pose2& end_error) {
    drive.robot.lidar = still_lidar();
    Pose2 pose;
    constexpr std::size_t kCount = 21;
    for (std::size_t i = 0; i < kCount; ++i) {
      drive.odometry.push_back({0.2 * static_cast<double>(i), pose});
      Scan scan;
      scan.time_s = 0.2 * static_cast<double>(i);
      scans.push_back(i);
      drive.scans.push_back(scan);
      if (i + 1 < kCount) pose = pose * exp({0.06 + 0.002 * static_cast<double>(i), 0.0, 0.05});
    }
    steps = odometry_steps(drive);
    adjusted.keyframes = {{0, 0.0, {}}, {kCount - 1, drive.scans.back().time_s, {}}};
    adjusted.poses = {{}, pose * end_error};
  }
  std::vector<ScanPose> placed() const { return place_scans(drive, steps, scans, {}, adjusted, 1, {}); }
};

/// The residuals of the chain, whitened: each scan's own pose with 5 cm and 0.05 rad (what a scan without a match is
/// held by), the first one with a micrometre (it is the map's frame), odometry between neighbours.
Eigen::VectorXd residuals(const std::vector<Pose2>& poses, const std::vector<Pose2>& held,
                          const std::vector<Pose2>& driven, const std::vector<Eigen::Matrix3d>& covariances) {
  const auto n = static_cast<Eigen::Index>(poses.size());
  Eigen::VectorXd all(6 * n - 3);
  for (Eigen::Index i = 0; i < n; ++i) {
    const auto k = static_cast<std::size_t>(i);
    all.segment<3>(3 * i) = log(between(held[k], poses[k])) / (i == 0 ? 1e-6 : 0.05);
    if (i + 1 == n) continue;
    const Tangent2 error = log(between(driven[k], between(poses[k], poses[k + 1])));
    all.segment<3>(3 * (n + i)) = covariances[k].llt().matrixL().solve(error);
  }
  return all;
}

/// Dense Gauss-Newton with a numerical Jacobian until it stands still.
std::vector<Pose2> dense_solution(std::vector<Pose2> poses, const std::vector<Pose2>& held,
                                  const std::vector<Pose2>& driven, const std::vector<Eigen::Matrix3d>& covariances) {
  for (int iteration = 0; iteration < 20; ++iteration) {
    const Eigen::VectorXd now = residuals(poses, held, driven, covariances);
    Eigen::MatrixXd jacobian(now.size(), static_cast<Eigen::Index>(3 * poses.size()));
    for (Eigen::Index c = 0; c < jacobian.cols(); ++c) {
      std::vector<Pose2> above = poses;
      std::vector<Pose2> below = poses;
      const auto k = static_cast<std::size_t>(c / 3);
      above[k] = poses[k] * exp(1e-6 * Tangent2::Unit(c % 3));
      below[k] = poses[k] * exp(-1e-6 * Tangent2::Unit(c % 3));
      jacobian.col(c) =
          (residuals(above, held, driven, covariances) - residuals(below, held, driven, covariances)) / 2e-6;
    }
    const Eigen::VectorXd step = jacobian.colPivHouseholderQr().solve(-now);
    for (std::size_t k = 0; k < poses.size(); ++k) {
      poses[k] = poses[k] * exp(step.segment<3>(static_cast<Eigen::Index>(3 * k)));
    }
  }
  return poses;
}

TEST(ScanPoses, SmootherAgreesWithDenseLeastSquares) {
  // Two nodes at the ends: each scan in between is held where odometry, bent to fit both nodes, puts it.
  const TwoNodes chain({0.06, -0.04, 0.03});
  const OdometryPath path(chain.steps, {});
  const Pose2 end = chain.adjusted.poses[1];
  const Tangent2 bend = log(between(path.pose_at(4.0), end));
  std::vector<Pose2> held;
  std::vector<Pose2> driven_ways;
  std::vector<Eigen::Matrix3d> covariances;
  for (std::size_t i = 0; i < chain.scans.size(); ++i) {
    const double time = chain.drive.scans[i].time_s;
    held.push_back(i + 1 == chain.scans.size() ? end : path.pose_at(time) * exp(time / 4.0 * bend));
    if (i == 0) continue;
    const double before = chain.drive.scans[i - 1].time_s;
    driven_ways.push_back(between(path.pose_at(before), path.pose_at(time)));
    covariances.push_back(stretch_covariance(chain.steps, odometry_noise(chain.drive.robot), before, time));
    covariances.back().diagonal().array() += 4e-8;
  }
  const std::vector<Pose2> exact = dense_solution(held, held, driven_ways, covariances);
  const std::vector<ScanPose> placed = chain.placed();
  ASSERT_EQ(placed.size(), exact.size());
  double moved = 0.0;
  for (std::size_t i = 0; i < exact.size(); ++i) {
    EXPECT_LT(apart_m(placed[i].pose, exact[i]), 1e-4) << i;
    EXPECT_LT(apart_rad(placed[i].pose, exact[i]), 1e-4) << i;
    moved = std::max(moved, apart_m(held[i], exact[i]));
  }
  EXPECT_GT(moved, 0.003) << "the smoother has nothing to do, so the test would say nothing";
}

TEST(ScanPoses, WithoutContradictionNothingMoves) {
  const TwoNodes chain({});
  for (const ScanPose& scan : chain.placed()) {
    const Pose2& odometry = chain.drive.odometry[scan.scan].pose;
    EXPECT_LT(apart_m(scan.pose, odometry), 1e-9);
    EXPECT_LT(apart_m(scan.odometry, odometry), 1e-9);
    EXPECT_EQ(scan.overlap, 0.0);
  }
}

// One long wall, and a robot that was carried twice: odometry, which says five metres, leads to none of the nodes.
TEST(ScanPoses, BetweenTwoEventsTheNodesHoldWhatTheWallsLeaveOpen) {
  const Scene wall{{{-30.0, 1.0}, {40.0, 1.0}}};
  Drive drive;
  drive.robot.lidar = still_lidar();
  JointResult adjusted;
  for (std::size_t i = 0; i < 3; ++i) {
    const auto along = static_cast<double>(i);
    adjusted.poses.push_back({0.8 * along, 0.0, 0.0});
    drive.odometry.push_back({along, {5.0 * along, 0.0, 0.0}});
    drive.scans.push_back(scan_at(wall, adjusted.poses.back(), along));
    adjusted.keyframes.push_back(keyframe_at(wall, adjusted.poses.back(), i));
    add_scan(adjusted.pieces, adjusted.keyframes.back().points, adjusted.poses.back(), {0.005, 0.0},
             static_cast<int>(i));
  }
  std::vector<OdometryStep> steps = odometry_steps(drive);
  for (OdometryStep& step : steps) step.unknown = true;
  const std::vector<ScanPose> placed = place_scans(drive, steps, {0, 1, 2}, {1, 2}, adjusted, 1, {});
  ASSERT_EQ(placed.size(), 3U);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_GT(placed[i].overlap, 0.9);
    EXPECT_LT(apart_m(placed[i].pose, adjusted.poses[i]), 0.01) << i;
  }
}

TEST(ScanPoses, EveryScanOfAPerfectDriveIsTrueToTwoMillimetres) {
  const DrivenHouse house = driven(ring_house(1));
  const AdjustedHouse stages = adjusted(house.drive);
  const std::vector<std::size_t> scans = all_scans(house.drive);
  const std::vector<ScanPose> placed = place_scans(house.drive, stages.steps, scans, {}, stages.joint, 1, {});
  ASSERT_EQ(placed.size(), scans.size());
  std::vector<TimedPose> path;
  for (const ScanPose& scan : placed) {
    path.push_back({scan.time_s, scan.pose});
    EXPECT_GT(scan.overlap, 0.6);
    EXPECT_GT(scan.incidence.size(), 200U);
  }
  const TrajectoryError error = absolute_trajectory_error(path, house.truth.trajectory);
  EXPECT_LT(error.position_max_m, 0.002);
  EXPECT_LT(error.heading_max_rad, 0.001);
  const std::vector<ScanPose> threaded = place_scans(house.drive, stages.steps, scans, {}, stages.joint, 3, {});
  for (std::size_t i = 0; i < placed.size(); ++i) {
    EXPECT_EQ(placed[i].pose.x_m, threaded[i].pose.x_m);
    EXPECT_EQ(placed[i].pose.heading_rad, threaded[i].pose.heading_rad);
  }
}

// Beams of a degree that meet an edge are answered from between it and what is behind: those are vague.
TEST(ScanPoses, ReturnsFromBetweenTwoSurfacesAreVague) {
  const auto share_of_vague = [](double beam_width_deg) {
    simulator::Plan plan = ring_house(1);
    plan.defects.range_noise_m = simulator::Knob::fixed(0.005);
    plan.defects.beam_width_deg = simulator::Knob::fixed(beam_width_deg);
    plan.defects.mixed_return_share = simulator::Knob::fixed(1.0);
    const DrivenHouse house = driven(plan);
    const AdjustedHouse stages = adjusted(house.drive);
    const std::vector<ScanPose> placed =
        place_scans(house.drive, stages.steps, all_scans(house.drive), {}, stages.joint, 1, {});
    const OdometryPath path(stages.steps, stages.joint.constants.odometry());
    const BeamsOfScan beams_of = beams_of_scans(house.drive, path, stages.joint);
    double vague = 0.0;
    double all = 0.0;
    for (const ScanPose& scan : placed) {
      const std::vector<RasterBeam> beams = beams_of(scan);
      vague +=
          static_cast<double>(std::count_if(beams.begin(), beams.end(), [](const RasterBeam& b) { return b.vague; }));
      all += static_cast<double>(beams.size());
    }
    return vague / all;
  };
  // A jamb that is met once, before what is behind it, looks the same: one beam in a hundred.
  const double of_none = share_of_vague(0.0);
  EXPECT_LT(of_none, 0.02);
  EXPECT_GT(share_of_vague(1.0), of_none + 0.01);
}

}  // namespace
}  // namespace wainscot
