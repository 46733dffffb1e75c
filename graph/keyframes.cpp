#include "graph/keyframes.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>

#include "graph/constants.hpp"
#include "scanmatch/correlative.hpp"
#include "scanmatch/line_map.hpp"

namespace wainscot {
namespace {

/// Points along the lines that the last nodes have touched, for the correlative search.
std::vector<Eigen::Vector2d> line_samples(const LineMap& map, int oldest_node) {
  constexpr double kSpacingM = 0.05;
  std::vector<Eigen::Vector2d> samples;
  for (const Line& line : map.lines()) {
    if (line.last_node < oldest_node) continue;
    const Eigen::Vector2d tangent(line.normal.y(), -line.normal.x());
    for (double u = line.first_along_m; u <= line.last_along_m; u += kSpacingM) {
      samples.push_back(line.anchor + u * tangent + (line.offset_m + line.slope * u) * line.normal);
    }
  }
  return samples;
}

std::vector<Eigen::Vector2d> places(const std::vector<ScanPoint>& points) {
  std::vector<Eigen::Vector2d> result;
  result.reserve(points.size());
  for (const ScanPoint& p : points) result.emplace_back(p.x_m, p.y_m);
  return result;
}

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
        range_noise_{drive.robot.lidar.noise_m, drive.robot.lidar.noise_per_m} {}

  const OdometryPath& path() const { return path_; }

  void add(std::size_t scan_index) {
    const Scan& scan = drive_.scans[scan_index];
    if (!result_.keyframes.empty() && !moved_enough(scan.time_s)) return;
    Keyframe keyframe{scan_index, scan.time_s,
                      prepare_scan(scan, scan.time_s, lidar_, drive_.robot.lidar, path_, Tangent2::Zero())};
    if (static_cast<int>(keyframe.points.size()) < options_.min_returns) return;
    if (result_.keyframes.empty()) {
      result_.poses.push_back(Pose2{});
    } else {
      match(keyframe);
    }
    ways_m_.push_back(path_.way_at_m(scan.time_s));
    add_to_map(keyframe);
    result_.keyframes.push_back(std::move(keyframe));
  }

  TrackedPath take() { return std::move(result_); }

 private:
  bool moved_enough(double time_s) const {
    const double last = result_.keyframes.back().time_s;
    return path_.way_at_m(time_s) - path_.way_at_m(last) > options_.keyframe_way_m ||
           path_.turned_at_rad(time_s) - path_.turned_at_rad(last) > options_.keyframe_turn_rad;
  }

  int oldest_node(double time_s) const {
    const double begin = path_.way_at_m(time_s) - options_.local_way_m;
    return static_cast<int>(std::lower_bound(ways_m_.begin(), ways_m_.end(), begin) - ways_m_.begin());
  }

  void match(const Keyframe& keyframe) {
    const std::size_t last = result_.keyframes.size() - 1;
    const double from_s = result_.keyframes[last].time_s;
    const Pose2 moved = between(path_.pose_at(from_s), path_.pose_at(keyframe.time_s));
    const Pose2 predicted = result_.poses[last] * moved;
    Eigen::Matrix3d covariance = stretch_covariance(steps_, odometry_noise_, from_s, keyframe.time_s);
    covariance.diagonal() += constants_variance(from_s, keyframe.time_s);
    const Eigen::Matrix3d prior = covariance.inverse();
    IcpOptions icp;
    icp.oldest_node = oldest_node(keyframe.time_s);
    IcpResult found = match_icp(keyframe.points, map_, range_noise_, predicted, prior, icp);
    // Where odometry broke off, the prediction may be further off than ICP's pairs reach: it then settles on a wall
    // beside.
    const bool lost = covariance(0, 0) > icp.first_gate_m * icp.first_gate_m;
    if (lost || found.overlap < options_.weak_overlap) found = search_widely(keyframe, predicted, icp, found, lost);
    const bool trusted = found.overlap >= 0.5 * options_.weak_overlap;
    result_.poses.push_back(trusted ? found.pose : predicted);
    Edge edge;
    edge.kind = trusted ? EdgeKind::match : EdgeKind::odometry;
    edge.from = last;
    edge.to = last + 1;
    edge.relative = between(result_.poses[last], result_.poses.back());
    edge.information = trusted ? Eigen::Matrix3d(prior + found.information) : prior;
    result_.edges.push_back(edge);
  }

  /// What the constants' own uncertainty adds to the motion of a stretch: along, across, heading.
  Eigen::Vector3d constants_variance(double from_s, double to_s) const {
    constexpr double kGyroBiasSdRadS = 0.003;
    constexpr double kFloor = 1e-6;  // 1 mm, 0.06 degrees
    const double way = path_.way_at_m(to_s) - path_.way_at_m(from_s);
    const double turned = path_.turned_at_rad(to_s) - path_.turned_at_rad(from_s);
    const double drift = drive_.gyro.empty() ? 0.0 : kGyroBiasSdRadS * (to_s - from_s);
    return {kFloor + way * way * constant_prior_(kDistanceScale, kDistanceScale), kFloor,
            kFloor + turned * turned * constant_prior_(kTurnScale, kTurnScale) +
                way * way * constant_prior_(kCurvature, kCurvature) + drift * drift};
  }

  /// After a weak match: the whole window around the prediction, before odometry alone is trusted. `lost`: the
  /// prediction says nothing, so any better match is taken.
  IcpResult search_widely(const Keyframe& keyframe, const Pose2& predicted, const IcpOptions& icp,
                          const IcpResult& weak, bool lost) const {
    const LikelihoodRaster raster(line_samples(map_, icp.oldest_node), {});
    const auto match = raster.search(places(keyframe.points), predicted, {1.0, 1.0, 1.0});
    if (!match) return weak;
    const IcpResult found = match_icp(keyframe.points, map_, range_noise_, match->pose, Eigen::Matrix3d::Zero(), icp);
    const double clearly_better = lost ? 0.0 : 0.15;
    return found.overlap > weak.overlap + clearly_better ? found : weak;
  }

  void add_to_map(const Keyframe& keyframe) {
    const Pose2& pose = result_.poses.back();
    const Eigen::Matrix2d rotation = pose.rotation();
    const int node = static_cast<int>(result_.keyframes.size());
    const int oldest = oldest_node(keyframe.time_s);
    for (const ScanPoint& p : keyframe.points) {
      if (p.normal_x == 0.0F && p.normal_y == 0.0F) continue;
      map_.add(pose * Eigen::Vector2d(p.x_m, p.y_m), rotation * Eigen::Vector2d(p.normal_x, p.normal_y),
               1.0 / across_variance(p, range_noise_), node, oldest);
    }
    map_.fit();
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
  std::vector<double> ways_m_;
  TrackedPath result_;
};

}  // namespace

std::vector<ScanPoint> prepare_scan(const Scan& scan, double begin_s, const LidarModel& lidar,
                                    const LidarConstants& constants, const OdometryPath& path,
                                    const Tangent2& extra_velocity) {
  const SweepMotion motion = sweep_motion(path, begin_s, sweep_duration_s(scan, lidar), extra_velocity);
  std::vector<ScanPoint> points = correct_motion(scan, lidar, constants.max_range_m, motion);
  estimate_normals(points, {constants.noise_m, constants.noise_per_m});
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
