#include "graph/track/keyframes.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "graph/constants.hpp"
#include "graph/track/match_surprise.hpp"
#include "graph/track/search_samples.hpp"
#include "scanmatch/correlative.hpp"
#include "scanmatch/line_map.hpp"
#include "scanmatch/seen_space.hpp"

namespace wainscot {
namespace {

/// Follows the robot from keyframe to keyframe.
class Tracker {
 public:
  Tracker(const Drive& drive, const std::vector<OdometryStep>& steps, const TrackingOptions& options)
      : drive_(drive),
        steps_(steps),
        options_(options),
        path_(steps, {}),
        odometry_noise_(odometry_noise(drive.robot)),
        constant_prior_(constant_prior(drive)),
        lidar_(lidar_model(drive.robot.lidar)),
        range_noise_(range_noise(drive.robot.lidar)) {}

  const OdometryPath& path() const { return path_; }

  void add(std::size_t scan_index) {
    const Scan& scan = drive_.scans[scan_index];
    const bool first_of_part =
        !result_.keyframes.empty() && part_of(scan_index) != part_of(result_.keyframes.back().scan);
    if (!result_.keyframes.empty() && !first_of_part && !is_node(scan_index) && !moved_enough(scan.time_s)) return;
    Keyframe keyframe{scan_index, scan.time_s,
                      prepare_scan(scan, scan.time_s, lidar_, drive_.robot.lidar, path_, Tangent2::Zero())};
    if (static_cast<int>(keyframe.points.size()) < options_.min_returns) return;
    if (result_.keyframes.empty()) {
      result_.poses.push_back(Pose2{});
    } else if (first_of_part) {
      begin_anew(result_.poses.back());
    } else {
      match(keyframe);
    }
    ways_m_.push_back(path_.way_at_m(scan.time_s));
    add_to_map(keyframe);
    result_.keyframes.push_back(std::move(keyframe));
  }

  TrackedPath take() { return std::move(result_); }

 private:
  std::size_t part_of(std::size_t scan) const { return part_of_scan(options_.parts, scan); }

  bool is_node(std::size_t scan) const { return !options_.parts.empty() && options_.parts[part_of(scan)].nodes_only; }

  bool moved_enough(double time_s) const {
    const double last = result_.keyframes.back().time_s;
    return path_.way_at_m(time_s) - path_.way_at_m(last) > options_.keyframe_way_m ||
           path_.turned_at_rad(time_s) - path_.turned_at_rad(last) > options_.keyframe_turn_rad;
  }

  int oldest_node(double time_s) const {
    const double begin = path_.way_at_m(time_s) - options_.local_way_m;
    auto oldest = static_cast<std::size_t>(std::lower_bound(ways_m_.begin(), ways_m_.end(), begin) - ways_m_.begin());
    if (ways_m_.size() >= options_.local_nodes) oldest = std::min(oldest, ways_m_.size() - options_.local_nodes);
    if (ways_m_.size() < options_.local_nodes) oldest = 0;
    return static_cast<int>(std::max(oldest, fresh_from_));
  }

  void match(const Keyframe& keyframe) {
    Step step;
    step.from_s = result_.keyframes.back().time_s;
    step.to_s = keyframe.time_s;
    const Pose2 moved = between(path_.pose_at(step.from_s), path_.pose_at(step.to_s));
    step.predicted = result_.poses.back() * moved;
    step.covariance = stretch_covariance(steps_, odometry_noise_, step.from_s, step.to_s);
    step.covariance.diagonal() +=
        constants_variance(constant_prior_, path_, step.from_s, step.to_s, !drive_.gyro.empty());
    step.covariance *= std::max(1.0, surprise_);
    const Eigen::Matrix3d prior = step.covariance.inverse();
    IcpOptions icp;
    icp.oldest_node = oldest_node(keyframe.time_s);
    if (options_.keep_match_of == result_.keyframes.size()) keep_match(keyframe, step.predicted, prior, icp);
    IcpResult found = match_icp(keyframe.points, map_, range_noise_, step.predicted, prior, icp);
    // Where the prediction may be further off than ICP's pairs reach, it settles on a wall beside.
    const bool doubtful = out_of_reach(step.covariance, icp.first_gate_m) && found.overlap < options_.clear_overlap;
    // Walls along the way fit wherever along them the robot is: what stands across must not be where nothing stood.
    const bool wrong = found.overlap < options_.sure_overlap &&
                       contradiction(keyframe, found.pose, icp.oldest_node) > options_.max_contradiction;
    if (doubtful || wrong || found.overlap < options_.weak_overlap || is_surprising(step, found)) {
      found = search_widely(keyframe, step, icp, found);
    }
    settle(keyframe, step, found, icp.oldest_node);
  }

  void keep_match(const Keyframe& keyframe, const Pose2& predicted, const Eigen::Matrix3d& prior,
                  const IcpOptions& icp) {
    result_.kept_match = MatchProblem{keyframe.points, map_, range_noise_, predicted, prior, icp};
    result_.kept_match->map.forget(icp.oldest_node);  // the matcher passes over them
  }

  struct Step {
    double from_s = 0.0;
    double to_s = 0.0;
    Pose2 predicted;
    Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();  ///< of `predicted`
  };

  /// Neither clear nor where odometry allows: one of the two is wrong, and nothing says which.
  bool is_surprising(const Step& step, const IcpResult& found) const {
    return found.overlap < options_.clear_overlap && chi_squared_of(found, step.predicted, step.covariance) > kPoseGate;
  }

  static bool out_of_reach(const Eigen::Matrix3d& covariance, double gate_m) {
    constexpr double kWallsM = 4.0;  // as far away as most walls of a room are
    return 2.0 * std::sqrt(std::max(covariance(0, 0), covariance(1, 1))) + 2.0 * kWallsM * std::sqrt(covariance(2, 2)) >
           gate_m;
  }

  /// Takes what was found, or odometry's word where it is not good enough.
  void settle(const Keyframe& keyframe, const Step& step, const IcpResult& found, int oldest) {
    const double chi = chi_squared_of(found, step.predicted, step.covariance);
    const bool trusted = found.overlap >= 0.5 * options_.weak_overlap;
    const bool unknown = nothing_known(step);
    const std::size_t node = result_.keyframes.size();
    Edge edge{trusted ? EdgeKind::match : EdgeKind::odometry, node - 1, node, {}, step.covariance.inverse()};
    if (leaves_open(found)) result_.way_left_open_m += path_.way_at_m(step.to_s) - path_.way_at_m(step.from_s);
    if (trusted) {
      // A poor match is worth less than its pairs say: some of them are of something else.
      const double worth = std::pow(std::min(1.0, found.overlap / options_.weak_overlap), 4);
      const double doubt = std::max(1.0, chi / kPoseGate);
      edge.information = edge.information / doubt + worth * found.information;
      if (is_surprising(step, found)) edge.information = spread(edge.information, between(step.predicted, found.pose));
      surprise_ += 0.05 * (std::min(chi / 3.0, 100.0) - surprise_);
      if (chi > kNoNoise || unknown) result_.jumps.push_back(node);
    } else if (unknown || is_elsewhere(keyframe, step, oldest)) {
      begin_anew(step.predicted);
      return;
    } else {
      constexpr double kLooser = 4.0;  // where scans do not match, wheels often slip as well
      edge.information /= kLooser;
    }
    result_.poses.push_back(trusted ? found.pose : step.predicted);
    edge.relative = between(result_.poses[node - 1], result_.poses[node]);
    result_.edges.push_back(edge);
  }

  /// A new local map, whose place is not known: it is put at `pose`, with an edge that says next to nothing.
  void begin_anew(const Pose2& pose) {
    const std::size_t node = result_.keyframes.size();
    const Eigen::Vector3d nothing(1e-4, 1e-4, 0.1);  // 100 m, 180 degrees
    result_.edges.push_back(
        {EdgeKind::odometry, node - 1, node, between(result_.poses[node - 1], pose), nothing.asDiagonal()});
    result_.poses.push_back(pose);
    result_.jumps.push_back(node);
    result_.breaks.push_back(node);
    fresh_from_ = node;
  }

  static bool leaves_open(const IcpResult& found) {
    constexpr double kOpenM = 0.05;  // ten times what a match in a room leaves
    constexpr double kOpenRad = 0.02;
    const LeftOpen open = left_open(found.information);
    return open.position_m > kOpenM || open.heading_rad > kOpenRad;
  }

  /// Information that also covers a pose that lies further off by `by`.
  static Eigen::Matrix3d spread(const Eigen::Matrix3d& information, const Pose2& by) {
    const Tangent2 difference = log(by);
    const Eigen::Matrix3d covariance = (information + 1e-6 * Eigen::Matrix3d::Identity()).inverse();
    return (covariance + difference * difference.transpose()).inverse();
  }

  /// The most likely pose between the prediction and what was found.
  static Pose2 fused(const Pose2& predicted, const Eigen::Matrix3d& prior, const IcpResult& found) {
    Pose2 error = between(predicted, found.pose);
    error.heading_rad = wrap_angle(error.heading_rad);
    const Tangent2 difference = log(error);
    return predicted * exp((prior + found.information).ldlt().solve(found.information * difference));
  }

  /// After a weak match: the whole window around the prediction, before odometry alone is trusted.
  IcpResult search_widely(const Keyframe& keyframe, const Step& step, const IcpOptions& icp,
                          const IcpResult& weak) const {
    const double sd_m = std::sqrt(std::max(step.covariance(0, 0), step.covariance(1, 1)));
    const double half_m = std::clamp(3.0 * sd_m, options_.search_m, options_.widest_search_m);
    const double half_rad = std::clamp(3.0 * std::sqrt(step.covariance(2, 2)), options_.search_rad, std::numbers::pi);
    const double radius_m = search_radius_m(keyframe.points);
    CorrelativeOptions raster_options;
    if (radius_m > 12.0) {
      raster_options.cell_m = 0.1;
      raster_options.blur_m = 0.12;
    }
    const LikelihoodRaster raster(samples_near(map_, icp.oldest_node, step.predicted.translation(), radius_m + half_m),
                                  raster_options);
    const auto match =
        raster.search(ends_within(keyframe.points, radius_m), step.predicted, {half_m, half_m, half_rad});
    if (!match) return weak;
    IcpResult found = match_icp(keyframe.points, map_, range_noise_, match->pose, Eigen::Matrix3d::Zero(), icp);
    if (chi_squared_of(found, step.predicted, step.covariance) <= kPoseGate) {
      // Along a corridor the search ends anywhere: what the walls leave open stays with odometry.
      const Eigen::Matrix3d prior = step.covariance.inverse();
      const Pose2 both = fused(step.predicted, prior, found);
      found = match_icp(keyframe.points, map_, range_noise_, both, prior, icp);
      return found.overlap > weak.overlap + 0.05 ? found : weak;
    }
    // Outside of what odometry allows some place is always found, and sliding back over known walls always raises the
    // overlap: it must be a good one, and where odometry puts the scan must be impossible.
    const bool impossible =
        nothing_known(step) || contradiction(keyframe, weak.pose, icp.oldest_node) > options_.max_contradiction;
    const bool good = impossible && found.overlap >= options_.clear_overlap && found.overlap > weak.overlap + 0.15 &&
                      contradiction(keyframe, found.pose, icp.oldest_node) <= options_.max_contradiction;
    return good ? found : weak;
  }

  static bool nothing_known(const Step& step) {
    constexpr double kNothingM = 10.0;
    return step.covariance(0, 0) > kNothingM * kNothingM;
  }

  /// Returns that lie where the local map was seen to be free / returns where it was seen, at `pose`; 0 where hardly
  /// any return lies where it was seen.
  double contradiction(const Keyframe& keyframe, const Pose2& pose, int oldest) const {
    constexpr double kHalfSizeM = 9.0;
    SeenSpace space(pose.translation(), kHalfSizeM);
    const auto first = static_cast<std::size_t>(oldest);
    for (std::size_t k = first; k < result_.keyframes.size(); ++k) {
      const Pose2& from = result_.poses[k];
      const Eigen::Matrix2d rotation = from.rotation();
      for (const ScanPoint& p : result_.keyframes[k].points) {
        const Eigen::Vector2d end = from * Eigen::Vector2d(p.x_m, p.y_m);
        const Eigen::Vector2d beam = rotation * Eigen::Vector2d(p.beam_x, p.beam_y);
        space.add_beam(end - static_cast<double>(p.range_m) * beam, end);
      }
    }
    std::size_t seen = 0;
    std::size_t in_free = 0;
    for (const ScanPoint& p : keyframe.points) {
      const Eigen::Vector2d place = pose * Eigen::Vector2d(p.x_m, p.y_m);
      seen += space.is_seen(place) ? 1 : 0;
      in_free += space.is_free(place) ? 1 : 0;
    }
    return 5 * seen < keyframe.points.size() ? 0.0 : static_cast<double>(in_free) / static_cast<double>(seen);
  }

  /// The robot stands elsewhere than odometry says: its scan contradicts what was seen here, or it fits nothing after a
  /// rest in which it may have been carried.
  bool is_elsewhere(const Keyframe& keyframe, const Step& step, int oldest) const {
    constexpr double kRestS = 3.0;
    constexpr double kRestM_S = 0.05;
    const double way = path_.way_at_m(step.to_s) - path_.way_at_m(step.from_s);
    const double turned = path_.turned_at_rad(step.to_s) - path_.turned_at_rad(step.from_s);
    const double time = step.to_s - step.from_s;
    if (time > kRestS && way + 0.3 * turned < kRestM_S * time) return true;
    constexpr double kElsewhere = 0.35;
    return contradiction(keyframe, step.predicted, oldest) > kElsewhere;
  }

  void add_to_map(const Keyframe& keyframe) {
    const int oldest = oldest_node(keyframe.time_s);
    add_scan(map_, keyframe.points, result_.poses.back(), range_noise_, static_cast<int>(result_.keyframes.size()),
             oldest);
    // Old lines are passed over, but looking at them costs time: the more, the longer the drive.
    if (map_.lines().size() > 2 * lines_kept_ + 200) {
      map_.forget(oldest);
      lines_kept_ = map_.lines().size();
    }
  }

  const Drive& drive_;
  const std::vector<OdometryStep>& steps_;
  TrackingOptions options_;
  OdometryPath path_;
  OdometryNoise odometry_noise_;
  ConstantMatrix constant_prior_;
  LidarModel lidar_;
  RangeNoise range_noise_;
  LineMap map_;
  std::size_t lines_kept_ = 0;  ///< when old ones were last removed
  std::vector<double> ways_m_;
  std::size_t fresh_from_ = 0;  ///< the first node of the local map
  double surprise_ = 1.0;       ///< running mean of chi squared of matches against odometry, by degree of freedom
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
