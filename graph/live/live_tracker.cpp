#include "graph/live/live_tracker.hpp"

#include <cmath>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "graph/track/keyframes.hpp"
#include "graph/track/likely_place.hpp"
#include "graph/track/match_surprise.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {
namespace {

// What a robot that stands still may have moved by since the last scan all the same: a tenth of a match's own noise.
constexpr double kLeastSd = 1e-4;  // m and rad
// A second of a lidar that turns ten times in it, by hand: people who pass cover a scan or two.
constexpr int kMostMisfits = 10;

}  // namespace

LiveTracker::LiveTracker(const Robot& robot, const LidarModel& lidar)
    : recent_(robot),
      lidar_(lidar),
      walls_(TrackingOptions().local_way_m, TrackingOptions().local_nodes, range_noise(robot.lidar)) {}

std::vector<TrackedScan> LiveTracker::take() {
  std::vector<TrackedScan> result;
  while (const std::optional<std::size_t> number = recent_.next_scan(kHalfOfSpeedS, 0.0))
    result.push_back(track(*number));
  return result;
}

IcpResult LiveTracker::matched(const DriveStep& step, const Pose2& predicted, const Eigen::Matrix3d& covariance) const {
  IcpOptions icp;
  icp.oldest_node = walls_.oldest_node(way_m_);
  return match_icp(step.points, walls_.lines(), walls_.noise(), predicted, covariance.inverse(), icp);
}

TrackedScan LiveTracker::track(std::size_t number) {
  const TrackingOptions options;
  TrackedScan here;
  here.scan = number;
  here.time_s = recent_.scan().time_s;
  const double from_s = before_s_.value_or(here.time_s);
  DriveStep step = DriveSteps(recent_.drive(), lidar_).at(0, from_s, here.time_s);
  before_s_ = here.time_s;
  here.speed = step.speed;
  here.pose = pose_ * step.moved;
  way_m_ += step.moved.translation().norm();
  since_kept_rad_ += std::abs(step.moved.heading_rad);
  const Eigen::Matrix3d carry = adjoint(inverse(step.moved));
  covariance_ = carry * covariance_ * carry.transpose() + step.covariance;
  covariance_.diagonal().array() += kLeastSd * kLeastSd;
  if (has_walls_) {
    const IcpResult found = matched(step, here.pose, covariance_);
    here.overlap = found.overlap;
    here.left_open = holds_loosely(found);
    const double chi = chi_squared_of(found, here.pose, covariance_);
    const bool fits =
        found.overlap >= options.weak_overlap && (chi <= kPoseGate || found.overlap >= options.clear_overlap);
    here.by = !fits ? TrackedBy::odometry : chi <= kNoNoise ? TrackedBy::walls : TrackedBy::walls_only;
    if (fits) {
      here.pose = found.pose;
      covariance_ = (covariance_.inverse() + found.information).inverse();
    }
    misfits_ = fits ? 0 : misfits_ + 1;
    if (misfits_ >= kMostMisfits) {
      walls_.begin_anew();
      here.by = TrackedBy::new_surroundings;
      has_walls_ = false;
      misfits_ = 0;
    }
  }
  pose_ = here.pose;
  here.points = std::move(step.points);
  keep(here);
  return here;
}

/// Takes the walls that the robot has come to see.
void LiveTracker::keep(const TrackedScan& here) {
  const TrackingOptions options;
  const bool moved = way_m_ - kept_way_m_ > options.keyframe_way_m || since_kept_rad_ > options.keyframe_turn_rad;
  if (has_walls_ && (!moved || here.by == TrackedBy::odometry)) return;
  walls_.add(here.points, here.pose, way_m_);
  has_walls_ = true;
  kept_way_m_ = way_m_;
  since_kept_rad_ = 0.0;
  covariance_.setZero();  // what is found from here on is beside these walls
}

}  // namespace wainscot
