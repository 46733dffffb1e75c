#include "graph/track/keyframes.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "graph/constants.hpp"
#include "graph/drift.hpp"
#include "graph/track/judged_match.hpp"
#include "graph/track/likely_place.hpp"
#include "graph/track/local_map.hpp"
#include "graph/track/match_surprise.hpp"
#include "graph/track/predicted_step.hpp"
#include "graph/track/rejoining.hpp"
#include "graph/track/seen_slips.hpp"
#include "graph/track/wall_evidence.hpp"

namespace wainscot {
namespace {

bool leaves_open(const IcpResult& found) {
  constexpr double kOpenM = 0.05;    // ten times what a match in a room leaves
  constexpr double kOpenRad = 0.02;  // 1.1 degrees, chosen by hand: 5 cm at 2.5 m
  const LeftOpen open = left_open(found.information);
  return open.position_m > kOpenM || open.heading_rad > kOpenRad;
}

/// Information that also covers a pose that lies further off by `by`.
Eigen::Matrix3d spread(const Eigen::Matrix3d& information, const Pose2& by) {
  const Tangent2 difference = log(by);
  const Eigen::Matrix3d covariance = (information + 1e-6 * Eigen::Matrix3d::Identity()).inverse();
  return (covariance + difference * difference.transpose()).inverse();
}

/// What the match over an event errs by beyond its own word. Of 36 events in six recorded drives, on which this was
/// chosen, 9 in 10 were right to 0.1 m and 1.8 degrees, half to 0.05 m and 0.4 degrees, where 0.01 m and 0.1 degrees
/// were stated; the noise of the reference is in it.
Eigen::Vector3d event_variance() {
  constexpr double kSdM = 0.05;
  constexpr double kSdRad = 0.02;
  return {kSdM * kSdM, kSdM * kSdM, kSdRad * kSdRad};
}

/// A step along which walls left a direction or the heading to odometry, with what either says of it.
struct OpenStep {
  std::size_t node = 0;         ///< to which it leads
  Eigen::Matrix3d of_odometry;  ///< covariance
  Eigen::Matrix3d of_walls;     ///< information
};

/// Follows the robot from keyframe to keyframe.
class Tracker {
 public:
  Tracker(const Drive& drive, const std::vector<OdometryStep>& steps, const TrackingOptions& options)
      : drive_(drive),
        options_(options),
        path_(steps, {}),
        prediction_(drive, steps, path_),
        lidar_(lidar_model(drive.robot.lidar)),
        map_(options.local_way_m, options.local_nodes, range_noise(drive.robot.lidar)) {}

  void add(std::size_t scan_index) {
    const Scan& scan = drive_.scans[scan_index];
    const bool first_of_part =
        !result_.keyframes.empty() && part_of(scan_index) != part_of(result_.keyframes.back().scan);
    if (!result_.keyframes.empty() && !first_of_part && !is_node(scan_index) && !moved_enough(scan.time_s)) return;
    Keyframe keyframe{scan_index, scan.time_s,
                      prepare_scan(scan, scan.time_s, lidar_, drive_.robot.lidar, path_, Tangent2::Zero())};
    if (static_cast<int>(keyframe.points.size()) < options_.min_returns) return;
    if (first_of_part) settle_postponed();
    if (result_.keyframes.empty()) {
      take_as_node(std::move(keyframe), Pose2{});
    } else if (first_of_part) {
      constexpr double kAnotherDayS = 100.0;  // nothing is known of the way from another recording
      begin_anew(std::move(keyframe), result_.poses.back(), kAnotherDayS);
    } else if (!match(keyframe)) {
      postponed_.push_back(std::move(keyframe));
      if (postponed_.size() > kMostPostponed) settle_postponed();
    }
  }

  TrackedPath take() {
    settle_postponed();
    doubt_open_steps();
    return std::move(result_);
  }

 private:
  /// Scans that fit nothing, one after the other: the robot is elsewhere, and a new local map begins with the first.
  void settle_postponed() {
    while (!postponed_.empty()) {
      std::vector<Keyframe> postponed = std::exchange(postponed_, {});
      const PredictedStep step = step_to(postponed.front());
      begin_anew(std::move(postponed.front()), step.predicted, step.to_s - step.from_s);
      for (std::size_t i = 1; i < postponed.size(); ++i) {
        if (!match(postponed[i])) postponed_.push_back(std::move(postponed[i]));
      }
    }
  }

  std::size_t part_of(std::size_t scan) const { return part_of_scan(options_.parts, scan); }

  bool is_node(std::size_t scan) const { return !options_.parts.empty() && options_.parts[part_of(scan)].nodes_only; }

  bool moved_enough(double time_s) const {
    const double last = result_.keyframes.back().time_s;
    return path_.way_at_m(time_s) - path_.way_at_m(last) > options_.keyframe_way_m ||
           path_.turned_at_rad(time_s) - path_.turned_at_rad(last) > options_.keyframe_turn_rad;
  }

  PredictedStep step_to(const Keyframe& keyframe) const {
    return prediction_.step(result_.poses.back(), result_.keyframes.back().time_s, keyframe.time_s, surprise_);
  }

  /// Takes the scan as a node, and empties it; false where it fits nothing: those that follow may tell.
  bool match(Keyframe& keyframe) {
    const PredictedStep step = step_to(keyframe);
    const LocalWalls walls{map_.lines(), map_.noise(), result_.keyframes, result_.poses,
                           map_.oldest_node(path_.way_at_m(keyframe.time_s))};
    if (options_.keep_match_of == result_.keyframes.size()) keep_match(keyframe, step, walls.oldest_node);
    const bool unknown = step.unknown || !postponed_.empty();
    const JudgedMatch match = judged_match(keyframe, step, walls, path_, {unknown, true}, options_, rejoining_);
    const IcpResult& found = match.found;
    // Something happened, and this scan does not tell what: those that follow may.
    const bool outside = match.chi_squared > kPoseGate;
    if (!match.trusted && (unknown || outside || is_elsewhere(keyframe, step, walls))) return false;
    const bool open = leaves_open(found);
    if (open) {
      result_.way_left_open_m += path_.way_at_m(step.to_s) - path_.way_at_m(step.from_s);
      result_.left_open.push_back(result_.keyframes.size());
    }
    Edge edge = match.trusted ? matched_edge(step, match, unknown) : odometry_edge(step);
    if (match.trusted && !unknown && !open) slips_.add(step, found);
    if (match.trusted && !unknown && open && !outside) {
      open_steps_.push_back({edge.to, step.covariance, worth(found) * found.information});
    }
    const Pose2 pose = match.trusted ? found.pose : step.predicted;
    edge.relative = between(result_.poses.back(), pose);
    result_.edges.push_back(edge);
    take_as_node(std::move(keyframe), pose);
    return true;
  }

  void keep_match(const Keyframe& keyframe, const PredictedStep& step, int oldest_node) {
    IcpOptions icp;
    icp.oldest_node = oldest_node;
    result_.kept_match =
        MatchProblem{keyframe.points, map_.lines(), map_.noise(), step.predicted, step.covariance.inverse(), icp};
    result_.kept_match->map.forget(oldest_node);  // the matcher passes over them
  }

  /// A poor match is worth less than its pairs say: some of them are of something else.
  double worth(const IcpResult& found) const {
    return std::pow(std::min(1.0, found.overlap / options_.weak_overlap), 4);
  }

  Edge matched_edge(const PredictedStep& step, const JudgedMatch& match, bool unknown) {
    const IcpResult& found = match.found;
    const double chi = match.chi_squared;
    const std::size_t node = result_.keyframes.size();
    Edge edge{EdgeKind::match, node - 1, node, {}, step.covariance.inverse()};
    const double doubt = std::max(1.0, chi / kPoseGate);
    edge.information = edge.information / doubt + worth(found) * found.information;
    // Neither clear nor where odometry allows: one of the two is wrong, and nothing says which.
    if (found.overlap < options_.clear_overlap && chi > kPoseGate) {
      edge.information = spread(edge.information, between(step.predicted, found.pose));
    }
    Eigen::Matrix3d covariance = edge_covariance(edge);
    surprise_ = surprise_after(surprise_, chi);
    if (chi > kNoNoise || unknown) {
      result_.jumps.push_back(node);
      covariance.diagonal() += event_variance();
    }
    edge.information = covariance.inverse();
    return edge;
  }

  /// Where a scan fits nothing the robot may have slipped to wherever was searched in vain: in homes 26001 to 26036 in
  /// one of three such steps. In the others odometry is all that holds the walls before and behind together.
  Edge odometry_edge(const PredictedStep& step) {
    constexpr double kLooser = 4.0;  // where scans do not match, wheels often slip as well
    const std::size_t node = result_.keyframes.size();
    result_.unseen.push_back({node, variance_within(ReachOptions())});
    return {EdgeKind::odometry, node - 1, node, {}, step.covariance.inverse() / kLooser};
  }

  /// Along what the walls left open, a slip is as likely as elsewhere in the drive, and is not seen.
  void doubt_open_steps() {
    const Eigen::Vector3d slip = slips_.variance_of_a_step();
    if (slip.isZero()) return;
    for (const OpenStep& open : open_steps_) {
      result_.unseen.push_back({open.node, slip});
      const Eigen::Matrix3d covariance = open.of_odometry + Eigen::Matrix3d(slip.asDiagonal());
      Edge& edge = result_.edges[open.node - 1];
      edge.information = covariance.inverse() + open.of_walls;
      edge.information = edge_covariance(edge).inverse();
    }
    std::sort(result_.unseen.begin(), result_.unseen.end(),
              [](const UnseenStep& a, const UnseenStep& b) { return a.node < b.node; });
  }

  /// A new local map, whose place is hardly known: it is put at `pose`.
  void begin_anew(Keyframe keyframe, const Pose2& pose, double time_s) {
    const std::size_t node = result_.keyframes.size();
    result_.edges.push_back(
        {EdgeKind::odometry, node - 1, node, between(result_.poses[node - 1], pose), within_reach(time_s)});
    result_.jumps.push_back(node);
    result_.breaks.push_back(node);
    map_.begin_anew();
    take_as_node(std::move(keyframe), pose);
  }

  void take_as_node(Keyframe keyframe, const Pose2& pose) {
    postponed_.clear();
    rejoining_.forget();
    map_.add(keyframe.points, pose, path_.way_at_m(keyframe.time_s));
    result_.poses.push_back(pose);
    result_.keyframes.push_back(std::move(keyframe));
  }

  /// The robot stands elsewhere than odometry says: its scan contradicts what was seen here, or it fits nothing after a
  /// rest in which it may have been carried.
  bool is_elsewhere(const Keyframe& keyframe, const PredictedStep& step, const LocalWalls& walls) const {
    // A robot is not lifted, carried and put down in less; kRestM_S is above what wheels count that are held in the
    // hand. Chosen by hand: half the time takes waiting at a door for being carried, twice as long misses quick hands.
    constexpr double kRestS = 3.0;
    constexpr double kRestM_S = 0.05;
    const double way = path_.way_at_m(step.to_s) - path_.way_at_m(step.from_s);
    const double turned = path_.turned_at_rad(step.to_s) - path_.turned_at_rad(step.from_s);
    const double time = step.to_s - step.from_s;
    if (time > kRestS && way + 0.3 * turned < kRestM_S * time) return true;
    // The share of returns that lie in space that was seen free. Chosen by hand: a door that was shut, or people, lie
    // in free space too; half as much breaks drives there, twice as much misses most places that are elsewhere.
    // kAroundM, chosen by hand too, bounds the cells to be drawn: a room and the next one.
    constexpr double kElsewhere = 0.35;
    constexpr double kAroundM = 9.0;
    const SeenSpace space = walls.seen(step.predicted.translation(), kAroundM);
    return contradiction(keyframe.points, step.predicted, space) > kElsewhere;
  }

  // Some 2 m of way, a node each 0.3 m: what is settled waits no longer (chosen by hand).
  static constexpr std::size_t kMostPostponed = 6;

  const Drive& drive_;
  TrackingOptions options_;
  OdometryPath path_;
  StepPrediction prediction_;
  LidarModel lidar_;
  LocalMap map_;
  std::vector<Keyframe> postponed_;  ///< scans that fitted nothing, since the last node
  Rejoining rejoining_;
  SeenSlips slips_;
  std::vector<OpenStep> open_steps_;
  double surprise_ = 1.0;  ///< running mean of chi squared of matches against odometry, by degree of freedom
  TrackedPath result_;
};

}  // namespace

std::vector<OdometryStep> without_jumps(std::vector<OdometryStep> steps, const TrackedPath& tracked) {
  for (const std::size_t node : tracked.jumps) {
    const double from_s = tracked.keyframes[node - 1].time_s;
    const double to_s = tracked.keyframes[node].time_s;
    for (OdometryStep& step : steps) {
      if (step.end_s > from_s && step.begin_s < to_s) step.unknown = true;
    }
  }
  return steps;
}

std::vector<OdometryStep> with_unseen_slips(std::vector<OdometryStep> steps, const TrackedPath& tracked) {
  for (const UnseenStep& unseen : tracked.unseen) {
    const double from_s = tracked.keyframes[unseen.node - 1].time_s;
    const double to_s = tracked.keyframes[unseen.node].time_s;
    for (OdometryStep& step : steps) {
      const double common_s = std::min(step.end_s, to_s) - std::max(step.begin_s, from_s);
      if (common_s > 0.0) step.slip_variance += common_s / (to_s - from_s) * unseen.slip_variance;
    }
  }
  return steps;
}

std::vector<ScanPoint> prepare_scan(const Scan& scan, double begin_s, const LidarModel& lidar,
                                    const LidarConstants& constants, const OdometryPath& path,
                                    const Tangent2& extra_velocity) {
  const SweepMotion motion = sweep_motion(path, begin_s, sweep_duration_s(scan, lidar), extra_velocity);
  std::vector<ScanPoint> points = correct_motion(scan, lidar, constants.max_range_m, motion);
  estimate_normals(points, range_noise(constants));
  return points;
}

TrackedPath track_keyframes(const Drive& drive, const std::vector<std::size_t>& scans,
                            const std::vector<OdometryStep>& steps, const TrackingOptions& options,
                            const std::function<void(double)>& progress) {
  Tracker tracker(drive, steps, options);
  for (std::size_t i = 0; i < scans.size(); ++i) {
    tracker.add(scans[i]);
    if (progress && i % 64 == 0) progress(static_cast<double>(i) / static_cast<double>(scans.size()));
  }
  return tracker.take();
}

}  // namespace wainscot
