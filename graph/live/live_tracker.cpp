#include "graph/live/live_tracker.hpp"

#include <algorithm>
#include <utility>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "graph/known/drive_steps.hpp"
#include "graph/track/likely_place.hpp"
#include "graph/track/match_surprise.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {
namespace {

// RecentDrive remembers half a minute: by then the robot's motion is to be counted from a newer node.
constexpr double kOldestNodeS = 20.0;
// Way over which nothing fits until the robot is taken to be elsewhere, as in track_keyframes(): six nodes.
constexpr double kLostNodes = 6.0;

}  // namespace

LiveTracker::Motion::Motion(const Drive& drive)
    : steps(odometry_steps(drive)), path(steps, {}), prediction(drive, steps, path) {}

LiveTracker::LiveTracker(const Robot& robot, const LidarModel& lidar)
    : recent_(robot), lidar_(lidar), map_(options_.local_way_m, options_.local_nodes, range_noise(robot.lidar)) {}

std::vector<TrackedScan> LiveTracker::take() {
  std::vector<TrackedScan> result;
  while (const std::optional<std::size_t> number = recent_.next_scan(kHalfOfSpeedS, 0.0)) {
    result.push_back(track(*number));
  }
  return result;
}

LocalWalls LiveTracker::walls_at(double way_m) const {
  return {map_.lines(), map_.noise(), nodes_, poses_, map_.oldest_node(way_m)};
}

bool LiveTracker::has_moved(const Motion& motion, double time_s) const {
  const double from_s = nodes_.back().time_s;
  return motion.path.way_at_m(time_s) - motion.path.way_at_m(from_s) > options_.keyframe_way_m ||
         motion.path.turned_at_rad(time_s) - motion.path.turned_at_rad(from_s) > options_.keyframe_turn_rad ||
         time_s - from_s > kOldestNodeS;
}

TrackedScan LiveTracker::track(std::size_t number) {
  const Motion motion(recent_.drive());
  TrackedScan here;
  here.scan = number;
  here.time_s = recent_.scan().time_s;
  here.points =
      prepare_scan(recent_.scan(), here.time_s, lidar_, recent_.drive().robot.lidar, motion.path, Tangent2::Zero());
  here.speed =
      log(between(motion.path.pose_at(here.time_s - kHalfOfSpeedS), motion.path.pose_at(here.time_s + kHalfOfSpeedS))) /
      (2.0 * kHalfOfSpeedS);
  if (nodes_.empty()) {
    take_as_node(here, 0.0);
    return here;
  }
  const double from_s = nodes_.back().time_s;
  const double way_m = way_m_ + motion.path.way_at_m(here.time_s) - motion.path.way_at_m(from_s);
  const PredictedStep step = motion.prediction.step(poses_.back(), from_s, here.time_s, surprise_);
  here.pose = step.predicted;
  const bool moved = has_moved(motion, here.time_s);
  match(motion, step, moved, here);
  if (here.by == TrackedBy::odometry && is_lost(motion, here.time_s)) {
    here.by = TrackedBy::new_surroundings;
    map_.begin_anew();
  }
  if (here.by != TrackedBy::odometry) lost_since_s_.reset();
  if (here.by == TrackedBy::new_surroundings || (moved && here.by != TrackedBy::odometry)) take_as_node(here, way_m);
  return here;
}

/// Beside the walls of the last metres, as for a node of a map; better places within reach are looked for where the
/// robot has moved on by as much.
void LiveTracker::match(const Motion& motion, const PredictedStep& step, bool moved, TrackedScan& here) {
  const double way_m = way_m_ + motion.path.way_at_m(step.to_s) - motion.path.way_at_m(step.from_s);
  const LocalWalls walls = walls_at(way_m);
  IcpOptions icp;
  icp.oldest_node = walls.oldest_node;
  IcpResult found = match_icp(here.points, walls.lines, walls.noise, step.predicted, step.covariance.inverse(), icp);
  const auto chi_squared = [&] { return chi_squared_of(found, step.predicted, step.covariance); };
  if (moved && (found.overlap < options_.sure_overlap || chi_squared() > kPoseGate)) {
    found = most_likely_place(here.points, walls, step, icp, found);
  }
  std::optional<TimedPose> guessed_from;
  if (step.guessed) guessed_from = {step.from_s, poses_.back()};
  const bool unknown = step.unknown || lost_since_s_.has_value();
  const bool trusted = unknown ? rejoining_.accepts(step.to_s, here.points, found, walls, motion.path, guessed_from)
                               : is_possible(found, here.points, step, walls, 0.5 * options_.weak_overlap);
  here.overlap = found.overlap;
  here.left_open = holds_loosely(found);
  if (!trusted) {
    here.by = TrackedBy::odometry;
    return;
  }
  const double chi = chi_squared();
  here.by = chi > kNoNoise ? TrackedBy::walls_only : TrackedBy::walls;
  here.pose = found.pose;
  if (moved) surprise_ += 0.05 * (std::min(chi / 3.0, 100.0) - surprise_);
}

/// Whether nothing has fitted for so long that the walls around are taken to be others.
bool LiveTracker::is_lost(const Motion& motion, double time_s) {
  if (!lost_since_s_) lost_since_s_ = time_s;
  const double way_m = motion.path.way_at_m(time_s) - motion.path.way_at_m(*lost_since_s_);
  const double turned_rad = motion.path.turned_at_rad(time_s) - motion.path.turned_at_rad(*lost_since_s_);
  return way_m > kLostNodes * options_.keyframe_way_m || turned_rad > kLostNodes * options_.keyframe_turn_rad ||
         time_s - nodes_.back().time_s > kOldestNodeS;
}

void LiveTracker::take_as_node(const TrackedScan& here, double way_m) {
  way_m_ = way_m;
  map_.add(here.points, here.pose, way_m);
  nodes_.push_back({here.scan, here.time_s, here.points});
  poses_.push_back(here.pose);
  rejoining_.forget();
  const auto oldest = static_cast<std::size_t>(map_.oldest_node(way_m));
  for (; forgotten_ < oldest; ++forgotten_) nodes_[forgotten_].points = {};
}

}  // namespace wainscot
