#include "graph/live/live_tracker.hpp"

#include "graph/known/drive_steps.hpp"
#include "graph/track/judged_match.hpp"
#include "graph/track/likely_place.hpp"
#include "graph/track/match_surprise.hpp"

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
  here.speed = speed_at(motion.path, here.time_s);
  if (nodes_.empty()) {
    take_as_node(here, 0.0);
    return here;
  }
  const double from_s = nodes_.back().time_s;
  const double way_m = way_m_ + motion.path.way_at_m(here.time_s) - motion.path.way_at_m(from_s);
  const PredictedStep step = motion.prediction.step(poses_.back(), from_s, here.time_s, surprise_);
  const bool moved = has_moved(motion, here.time_s);
  place(motion, step, way_m, moved, here);
  if (here.by == TrackedBy::odometry && is_lost(motion, here.time_s)) {
    here.by = TrackedBy::new_surroundings;
    map_.begin_anew();
  }
  if (here.by != TrackedBy::odometry) lost_since_s_.reset();
  if (here.by == TrackedBy::new_surroundings || (moved && here.by != TrackedBy::odometry)) take_as_node(here, way_m);
  return here;
}

/// As for a node of a map; better places within reach are looked for where the robot has moved on by as much.
void LiveTracker::place(const Motion& motion, const PredictedStep& step, double way_m, bool moved, TrackedScan& here) {
  const LocalWalls walls{map_.lines(), map_.noise(), nodes_, poses_, map_.oldest_node(way_m)};
  const MatchCircumstances circumstances{step.unknown || lost_since_s_.has_value(), moved};
  const Keyframe scan{here.scan, here.time_s, here.points};
  const JudgedMatch match = judged_match(scan, step, walls, motion.path, circumstances, options_, rejoining_);
  here.left_open = holds_loosely(match.found);
  if (!match.trusted) {
    here.by = TrackedBy::odometry;
    here.pose = step.predicted;
    return;
  }
  here.by = match.chi_squared > kNoNoise ? TrackedBy::walls_only : TrackedBy::walls;
  here.pose = match.found.pose;
  if (moved) surprise_ = surprise_after(surprise_, match.chi_squared);
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
