#include "graph/track/keyframes.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include <gtest/gtest.h>

#include "graph/drift.hpp"
#include "tests/graph/scene.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

TEST(Keyframes, PreparedScanLiesOnTheWallsWithNormalsTowardsTheLidar) {
  const Scene room = crooked_room();
  const Pose2 pose{-0.3, 0.2, 0.7};
  const Keyframe keyframe = keyframe_at(room, pose);
  int with_normal = 0;
  for (const ScanPoint& p : keyframe.points) {
    const Eigen::Vector2d n(p.normal_x, p.normal_y);
    if (n.norm() == 0.0) continue;
    ++with_normal;
    EXPECT_NEAR(n.norm(), 1.0, 1e-5);
    EXPECT_LT(n.dot(Eigen::Vector2d(p.beam_x, p.beam_y)), 0.0);
  }
  EXPECT_GT(with_normal, 300);  // of 360; corners have none
  EXPECT_EQ(keyframe.points.size(), 360U);
}

// Beams of a quick turn on the spot, each at its own time: without the correction the room would be smeared over 20
// degrees.
TEST(Keyframes, PreparedScanIsCorrectedForTheMotion) {
  const Scene room = crooked_room();
  constexpr double kSweepS = 0.2;
  constexpr double kTurnRate = 1.8;
  LidarConstants lidar = still_lidar();
  lidar.sweep_s = kSweepS;
  OdometryStep turning;
  turning.end_s = 1.0;
  turning.motion = {0.1, 0.0, kTurnRate};
  const OdometryPath path({turning}, {});
  Scan scan;
  scan.time_s = 0.3;
  const Pose2 begin = path.pose_at(scan.time_s);
  for (int degree = -179; degree <= 180; ++degree) {
    const double angle = degree * std::numbers::pi / 180.0;
    const double offset = kSweepS * (degree + 179) / 360.0;
    const Pose2 pose = path.pose_at(scan.time_s + offset);
    const double range =
        range_to(room, pose.translation(), {std::cos(pose.heading_rad + angle), std::sin(pose.heading_rad + angle)});
    scan.returns.push_back({static_cast<float>(angle), static_cast<float>(range), static_cast<float>(offset)});
  }
  const auto worst_distance = [&](const OdometryPath& assumed) {
    double worst = 0.0;
    for (const ScanPoint& p : prepare_scan(scan, scan.time_s, lidar_model(lidar), lidar, assumed, Tangent2::Zero())) {
      const Eigen::Vector2d world = begin * Eigen::Vector2d(p.x_m, p.y_m);
      double nearest = 1e9;
      for (const auto& [a, b] : room) {
        const double part = std::clamp((world - a).dot(b - a) / (b - a).squaredNorm(), 0.0, 1.0);
        nearest = std::min(nearest, (a + part * (b - a) - world).norm());
      }
      worst = std::max(worst, nearest);
    }
    return worst;
  };
  OdometryStep rest;
  rest.end_s = 1.0;
  EXPECT_LT(worst_distance(path), 0.002);
  EXPECT_GT(worst_distance(OdometryPath({rest}, {})), 0.3);
}

TEST(Keyframes, AreSpacedByWayAndTurn) {
  const DrivenHouse house = driven(ring_house(1));
  const std::vector<OdometryStep> steps = odometry_steps(house.drive);
  const OdometryPath path(steps, {});
  const TrackingOptions options;
  const TrackedPath tracked = track_keyframes(house.drive, all_scans(house.drive), steps, options, {});
  ASSERT_GT(tracked.keyframes.size(), 40U);
  EXPECT_EQ(tracked.poses.size(), tracked.keyframes.size());
  EXPECT_EQ(tracked.edges.size() + 1, tracked.keyframes.size());
  const double scan_s = house.drive.scans[1].time_s - house.drive.scans[0].time_s;
  for (std::size_t i = 1; i < tracked.keyframes.size(); ++i) {
    const double from = tracked.keyframes[i - 1].time_s;
    const double to = tracked.keyframes[i].time_s;
    const double way = path.way_at_m(to) - path.way_at_m(from);
    const double turn = path.turned_at_rad(to) - path.turned_at_rad(from);
    EXPECT_TRUE(way > options.keyframe_way_m || turn > options.keyframe_turn_rad) << i;
    EXPECT_LT(way, options.keyframe_way_m + 0.5 * scan_s) << i;      // one scan later at most, at 0.35 m/s
    EXPECT_LT(turn, options.keyframe_turn_rad + 1.8 * scan_s) << i;  // and 1.2 rad/s with a hand's wobble
    EXPECT_EQ(tracked.edges[i - 1].from, i - 1);
    EXPECT_EQ(tracked.edges[i - 1].to, i);
  }
}

TEST(Keyframes, TrackedPathFollowsTheTruth) {
  const DrivenHouse house = driven(ring_house(1));
  const std::vector<OdometryStep> steps = odometry_steps(house.drive);
  const TrackedPath tracked = track_keyframes(house.drive, all_scans(house.drive), steps, {}, {});
  const Pose2 start = house.true_pose(tracked.keyframes.front().time_s);
  for (std::size_t i = 0; i < tracked.poses.size(); ++i) {
    const Pose2 truth = between(start, house.true_pose(tracked.keyframes[i].time_s));
    EXPECT_LT(apart_m(tracked.poses[i], truth), 0.03) << i;
    EXPECT_LT(apart_rad(tracked.poses[i], truth), 0.01) << i;
  }
  for (const Edge& edge : tracked.edges) EXPECT_EQ(edge.kind, EdgeKind::match);
}

// Wheels that slip: the track width is 15 % off, so odometry turns too far at every corner.
TEST(Keyframes, MatchingCorrectsPoorOdometry) {
  simulator::Plan plan = ring_house(1);
  plan.defects.track_width_error_rel = simulator::Knob::fixed(-0.15);
  DrivenHouse house = driven(plan);
  house.drive.robot.motion_noise = {0.02, 0.15};  // whoever states so wide a noise must be believed
  const std::vector<OdometryStep> steps = odometry_steps(house.drive);
  const TrackedPath tracked = track_keyframes(house.drive, all_scans(house.drive), steps, {}, {});
  const OdometryPath path(steps, {});
  const double end_s = tracked.keyframes.back().time_s;
  const Pose2 truth = between(house.true_pose(tracked.keyframes.front().time_s), house.true_pose(end_s));
  const Pose2 odometry = between(path.pose_at(tracked.keyframes.front().time_s), path.pose_at(end_s));
  ASSERT_GT(apart_rad(odometry, truth), 0.5);
  EXPECT_LT(apart_rad(tracked.poses.back(), truth), 0.05);
  EXPECT_LT(apart_m(tracked.poses.back(), truth), 0.15);
}

/// A robot that drives 3 m straight on, and a scan each 0.1 m.
Drive straight_drive(const std::function<Scan(const Pose2&, double)>& scan_of) {
  Drive drive;
  drive.robot.lidar = still_lidar();
  for (int i = 0; i <= 30; ++i) {
    const Pose2 pose{0.1 * i - 1.5, 0.0, 0.0};
    drive.odometry.push_back({0.5 * i, pose});
    drive.scans.push_back(scan_of(pose, 0.5 * i));
  }
  return drive;
}

TEST(Keyframes, ScansThatMatchNothingLeaveTheWayToOdometry) {
  std::mt19937 random(1);
  std::uniform_real_distribution<float> range(0.5F, 7.0F);
  const Drive drive = straight_drive([&](const Pose2&, double time_s) {
    Scan scan;
    scan.time_s = time_s;
    for (int i = 0; i < 120; ++i) scan.returns.push_back({0.05F * static_cast<float>(i) - 3.0F, range(random), 0.0F});
    return scan;
  });
  const TrackedPath tracked = track_keyframes(drive, all_scans(drive), odometry_steps(drive), {}, {});
  ASSERT_GE(tracked.edges.size(), 7U);
  for (const Edge& edge : tracked.edges) {
    EXPECT_EQ(edge.kind, EdgeKind::odometry);
    EXPECT_NEAR(edge.relative.x_m, 0.4, 0.11);
    EXPECT_NEAR(edge.relative.y_m, 0.0, 1e-6);
    EXPECT_GT(edge.information(0, 0), 0.0);
  }
  // The robot may be wherever was searched: evenly spread over 1 m and 1.4 rad to both sides.
  ASSERT_EQ(tracked.unseen.size(), tracked.edges.size());
  for (std::size_t i = 0; i < tracked.unseen.size(); ++i) EXPECT_EQ(tracked.unseen[i].node, i + 1);
  const std::vector<OdometryStep> steps = with_unseen_slips(odometry_steps(drive), tracked);
  const auto sd_m = [&](std::size_t from, std::size_t to) {
    return std::sqrt(slip_covariance(steps, tracked.keyframes[from].time_s, tracked.keyframes[to].time_s)(0, 0));
  };
  EXPECT_NEAR(sd_m(0, 1), 1.0 / std::sqrt(3.0), 1e-9);
  EXPECT_NEAR(sd_m(0, 2), std::sqrt(2.0 / 3.0), 1e-9);
}

/// A robot that slips once in a room, and of that room sees no more than the wall along which it drives from 7 s on.
Drive along_a_wall(double slip_m) {
  return straight_drive([&](const Pose2& pose, double time_s) {
    Scan scan = scan_at(crooked_room(), {pose.x_m - (time_s >= 3.5 ? slip_m : 0.0), pose.y_m, 0.0}, time_s);
    const auto is_elsewhere = [](const Return& beam) { return beam.range_m * std::sin(beam.angle_rad) > -1.9F; };
    if (time_s >= 7.0) std::erase_if(scan.returns, is_elsewhere);
    return scan;
  });
}

TEST(Keyframes, AlongWhatIsLeftOpenASlipIsAsLikelyAsElsewhere) {
  const Drive smooth = along_a_wall(0.0);
  const TrackedPath without = track_keyframes(smooth, all_scans(smooth), odometry_steps(smooth), {}, {});
  ASSERT_GE(without.left_open.size(), 3U);
  EXPECT_TRUE(without.unseen.empty()) << "this robot does not slip";

  const Drive drive = along_a_wall(0.6);
  const TrackedPath tracked = track_keyframes(drive, all_scans(drive), odometry_steps(drive), {}, {});
  ASSERT_EQ(tracked.jumps.size(), 1U);
  ASSERT_EQ(tracked.unseen.size(), tracked.left_open.size());
  const double seen = static_cast<double>(tracked.edges.size() - tracked.left_open.size());
  for (std::size_t i = 0; i < tracked.unseen.size(); ++i) {
    EXPECT_EQ(tracked.unseen[i].node, tracked.left_open[i]);
    EXPECT_NEAR(tracked.unseen[i].slip_variance[0], 0.6 * 0.6 / seen, 0.1 * 0.6 * 0.6 / seen);
    const Edge& edge = tracked.edges[tracked.unseen[i].node - 1];
    EXPECT_NEAR(std::sqrt(edge_covariance(edge)(0, 0)), 0.6 / std::sqrt(seen), 0.1 * 0.6) << i;
    EXPECT_LT(std::sqrt(edge_covariance(edge)(1, 1)), 0.02) << "walls hold it across, " << i;
  }
}

TEST(Keyframes, ScansWithTooFewReturnsAreLeftOut) {
  const Drive drive = straight_drive([](const Pose2& pose, double time_s) {
    Scan scan = scan_at(crooked_room(), pose, time_s);
    if (time_s > 4.0 && time_s < 8.0) scan.returns.resize(15);
    return scan;
  });
  const TrackedPath tracked = track_keyframes(drive, all_scans(drive), odometry_steps(drive), {}, {});
  for (const Keyframe& keyframe : tracked.keyframes) EXPECT_TRUE(keyframe.time_s <= 4.0 || keyframe.time_s >= 8.0);
  EXPECT_NEAR(tracked.poses.back().x_m, 0.1 * tracked.keyframes.back().time_s / 0.5, 0.005);
}

// Lifted and put down in another room while its wheels stand still: nothing there fits, and odometry says nothing.
TEST(Keyframes, LiftedRobotBreaksTheChainAndGoesOn) {
  const Scene other = closed_walls({{-1.2, -4.0}, {1.2, -4.0}, {1.2, 3.0}, {0.2, 4.0}, {-1.2, 4.0}});
  const Drive drive = straight_drive([&](const Pose2& pose, double time_s) {
    if (time_s < 7.0) return scan_at(crooked_room(), pose, time_s);
    return scan_at(other, {0.1, pose.x_m - 1.0, 0.5 * std::numbers::pi}, time_s);
  });
  const std::vector<OdometryStep> steps = odometry_steps(drive);
  const TrackedPath tracked = track_keyframes(drive, all_scans(drive), steps, {}, {});
  ASSERT_EQ(tracked.breaks.size(), 1U);
  ASSERT_EQ(tracked.jumps, tracked.breaks);
  const std::size_t node = tracked.breaks.front();
  EXPECT_GE(tracked.keyframes[node].time_s, 7.0);
  EXPECT_LT(tracked.keyframes[node - 1].time_s, 7.0);
  const Edge& loose = tracked.edges[node - 1];
  EXPECT_EQ(loose.kind, EdgeKind::odometry);
  const double way_s = tracked.keyframes[node].time_s - tracked.keyframes[node - 1].time_s;
  EXPECT_NEAR(loose.information(0, 0), 1.0 / ((1.0 + way_s) * (1.0 + way_s)), 1e-12) << "a metre, and one a second";
  for (std::size_t e = 0; e < tracked.edges.size(); ++e) {
    EXPECT_EQ(tracked.edges[e].kind, e + 1 == node ? EdgeKind::odometry : EdgeKind::match) << e;
  }
  for (const OdometryStep& step : without_jumps(steps, tracked)) {
    const bool inside =
        step.end_s > tracked.keyframes[node - 1].time_s && step.begin_s < tracked.keyframes[node].time_s;
    EXPECT_EQ(step.unknown, inside);
  }
}

// Wheels that spin at a threshold: 0.6 m that were not driven.
TEST(Keyframes, SlipIsFoundByTheSearch) {
  const Drive drive = straight_drive([](const Pose2& pose, double time_s) {
    const double slip = time_s >= 7.0 ? 0.6 : 0.0;
    return scan_at(crooked_room(), {pose.x_m - slip, pose.y_m, 0.0}, time_s);
  });
  const TrackedPath tracked = track_keyframes(drive, all_scans(drive), odometry_steps(drive), {}, {});
  EXPECT_NEAR(tracked.poses.back().x_m, 0.1 * tracked.keyframes.back().time_s / 0.5 - 0.6, 0.02);
  EXPECT_TRUE(tracked.breaks.empty());
  EXPECT_EQ(tracked.jumps.size(), 1U);
}

TEST(Keyframes, RobotThatRestsGivesOneKeyframe) {
  Drive drive = straight_drive([](const Pose2&, double time_s) { return scan_at(crooked_room(), {}, time_s); });
  for (TimedPose& row : drive.odometry) row.pose = {};
  EXPECT_EQ(track_keyframes(drive, all_scans(drive), odometry_steps(drive), {}, {}).keyframes.size(), 1U);
}

}  // namespace
}  // namespace wainscot
