#include "graph/adjust/scan_poses.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

#include <Eigen/Dense>

#include "graph/parallel.hpp"
#include "scanmatch/icp.hpp"
#include "scanmatch/mixed_returns.hpp"

namespace wainscot {
namespace {

/// Where the nodes put the scans between them: odometry, bent to pass through the nodes on both sides.
class NodePath {
 public:
  NodePath(const OdometryPath& path, const JointResult& adjusted, const std::vector<std::size_t>& jumps)
      : path_(path), adjusted_(adjusted), jumps_(jumps) {}

  struct Place {
    Pose2 pose;
    Tangent2 extra_velocity;
  };

  /// One place; two on the way to a jump's node, since nothing tells at what moment of it the robot was lifted or slid:
  /// as odometry goes on from the node before, and as it leads to the node behind.
  std::vector<Place> at(double time_s) const {
    const std::vector<Keyframe>& nodes = adjusted_.keyframes;
    const auto after =
        std::upper_bound(nodes.begin(), nodes.end(), time_s, [](double t, const Keyframe& k) { return t < k.time_s; });
    const std::size_t node = after == nodes.begin() ? 0 : static_cast<std::size_t>(after - nodes.begin()) - 1;
    const double from_s = nodes[node].time_s;
    const Place onwards{adjusted_.poses[node] * between(path_.pose_at(from_s), path_.pose_at(time_s)),
                        Tangent2::Zero()};
    if (after == nodes.end() || time_s <= from_s) return {onwards};
    if (std::binary_search(jumps_.begin(), jumps_.end(), node + 1)) {
      const Pose2 back = between(path_.pose_at(after->time_s), path_.pose_at(time_s));
      return {onwards, {adjusted_.poses[node + 1] * back, Tangent2::Zero()}};
    }
    return {bent(node, time_s)};
  }

 private:
  Place bent(std::size_t node, double time_s) const {
    const double from_s = adjusted_.keyframes[node].time_s;
    const double to_s = adjusted_.keyframes[node + 1].time_s;
    const double duration = to_s - from_s;
    const Pose2 driven = between(path_.pose_at(from_s), path_.pose_at(time_s));
    const Pose2 whole = between(path_.pose_at(from_s), path_.pose_at(to_s));
    const Tangent2 bend = log(between(whole, between(adjusted_.poses[node], adjusted_.poses[node + 1])));
    // Over a long stretch (the robot stood or turned slowly) the mean bend says little about one sweep.
    constexpr double kLongestBend_s = 3.0;
    const Tangent2 velocity = duration < kLongestBend_s ? Tangent2(bend / duration) : Tangent2(Tangent2::Zero());
    return {adjusted_.poses[node] * driven * exp((time_s - from_s) / duration * bend), velocity};
  }

  const OdometryPath& path_;
  const JointResult& adjusted_;
  const std::vector<std::size_t>& jumps_;
};

struct MatchedScan {
  Pose2 pose;
  Eigen::Matrix3d information = Eigen::Matrix3d::Zero();
};

/// One Gauss-Newton step of the chain: matched poses against odometry between consecutive scans.
class Chain {
 public:
  Chain(const std::vector<MatchedScan>& matched, std::vector<Pose2> driven, std::vector<Eigen::Matrix3d> information)
      : matched_(matched), driven_(std::move(driven)), information_(std::move(information)) {}

  /// False: it is not finite, and the poses are as they were.
  bool step(std::vector<Pose2>& poses) const {
    const std::size_t n = poses.size();
    std::vector<Eigen::Matrix3d> diagonal(n);
    std::vector<Eigen::Matrix3d> below(n, Eigen::Matrix3d::Zero());  // row i + 1, column i
    std::vector<Eigen::Vector3d> right(n);
    for (std::size_t i = 0; i < n; ++i) {
      diagonal[i] = matched_[i].information + 1e-6 * Eigen::Matrix3d::Identity();
      right[i] = -matched_[i].information * log(between(matched_[i].pose, poses[i]));
    }
    for (std::size_t i = 0; i + 1 < n; ++i) {
      const Pose2 relative = between(poses[i], poses[i + 1]);
      const Tangent2 residual = log(between(driven_[i], relative));
      const Eigen::Matrix3d by_from = -adjoint(inverse(relative));
      const Eigen::Matrix3d& information = information_[i];
      diagonal[i + 1] += information;
      diagonal[i] += by_from.transpose() * information * by_from;
      below[i] = information * by_from;
      right[i + 1] -= information * residual;
      right[i] -= by_from.transpose() * information * residual;
    }
    for (std::size_t i = 0; i + 1 < n; ++i) {
      const Eigen::Matrix3d factor = below[i] * diagonal[i].inverse();
      diagonal[i + 1] -= factor * below[i].transpose();
      right[i + 1] -= factor * right[i];
    }
    Eigen::Vector3d next = Eigen::Vector3d::Zero();
    std::vector<Pose2> moved = poses;
    for (std::size_t i = n; i-- > 0;) {
      if (i + 1 < n) right[i] -= below[i].transpose() * next;
      next = diagonal[i].ldlt().solve(right[i]);
      if (!next.allFinite()) return false;
      moved[i] = moved[i] * exp(next);
    }
    poses = std::move(moved);
    return true;
  }

 private:
  const std::vector<MatchedScan>& matched_;
  std::vector<Pose2> driven_;
  std::vector<Eigen::Matrix3d> information_;
};

void note_returns(const std::vector<ScanPoint>& points, const Pose2& pose, ScanPose& scan) {
  scan.incidence.reserve(points.size());
  const Eigen::Matrix2d rotation = pose.rotation();
  for (const ScanPoint& p : points) {
    const float cosine = std::abs(p.normal_x * p.beam_x + p.normal_y * p.beam_y);
    scan.incidence.push_back(static_cast<std::uint8_t>(std::ceil(255.0F * std::min(cosine, 1.0F))));
    scan.seen.extend(pose.translation() + rotation * Eigen::Vector2d(p.x_m, p.y_m));
  }
}

MatchedScan match_at(const NodePath::Place& place, const Drive& drive, const LidarModel& lidar,
                     const OdometryPath& path, const JointResult& adjusted, ScanPose& scan) {
  const LidarConstants& stated = drive.robot.lidar;
  const std::vector<ScanPoint> points =
      prepare_scan(drive.scans[scan.scan], scan.time_s, lidar, stated, path, place.extra_velocity);
  IcpOptions icp;
  icp.max_iterations = 2;                     // from millimetres away, each step squares the error
  icp.first_gate_m = icp.last_gate_m = 0.08;  // the nodes on both sides leave no more doubt than this
  icp.line_error_m = 0.003;                   // the pieces are adjusted
  const Eigen::Vector3d loose(1.0 / (0.05 * 0.05), 1.0 / (0.05 * 0.05), 1.0 / (0.05 * 0.05));
  const IcpResult found = match_icp(points, adjusted.pieces, range_noise(stated), place.pose, loose.asDiagonal(), icp);
  scan.overlap = found.overlap;
  scan.pose = place.pose;
  scan.extra_velocity = place.extra_velocity;
  // Chosen by hand: half as much believes scans over people, twice as much leaves cluttered rooms to the nodes.
  constexpr double kWeakOverlap = 0.3;
  const bool weak = found.overlap < kWeakOverlap;
  note_returns(points, weak ? place.pose : found.pose, scan);
  if (weak) return {place.pose, loose.asDiagonal()};
  // What the walls leave open the nodes hold: between two events odometry leads nowhere.
  return {found.pose, found.information + Eigen::Matrix3d(loose.asDiagonal())};
}

/// nullopt: the scan was taken on the way to a jump's node and fits neither where the way begins nor where it ends.
std::optional<MatchedScan> match_scan(const Drive& drive, const LidarModel& lidar, const OdometryPath& path,
                                      const NodePath& node_path, const JointResult& adjusted, ScanPose& scan) {
  constexpr double kFits = 0.6;  // the robot stands where it stood, before known walls
  const std::vector<NodePath::Place> places = node_path.at(scan.time_s);
  std::optional<MatchedScan> best;
  ScanPose best_scan = scan;
  for (const NodePath::Place& place : places) {
    ScanPose here = scan;
    const MatchedScan matched = match_at(place, drive, lidar, path, adjusted, here);
    if (places.size() > 1 && here.overlap < kFits) continue;
    if (best && here.overlap <= best_scan.overlap) continue;
    best = matched;
    best_scan = std::move(here);
  }
  scan = std::move(best_scan);
  return best;
}

/// Those scans that have a place, and where.
struct Placed {
  std::vector<ScanPose> scans;
  std::vector<MatchedScan> matched;
};

Placed placed(std::vector<ScanPose> scans, const std::vector<std::optional<MatchedScan>>& matched) {
  Placed result;
  for (std::size_t i = 0; i < scans.size(); ++i) {
    if (!matched[i]) continue;
    result.scans.push_back(std::move(scans[i]));
    result.matched.push_back(*matched[i]);
  }
  return result;
}

/// The chain of odometry between the placed scans, smoothed with what each scan's match says. Where that cannot be
/// computed the scans stay where the nodes put them.
void smooth(const Drive& drive, const std::vector<OdometryStep>& steps, const OdometryPath& path,
            const JointResult& adjusted, Placed& placed) {
  OdometryNoise noise = odometry_noise(drive.robot);
  const NoiseRatio& ratio = adjusted.odometry_noise_ratio;
  // 0.2 mm, 0.01 degrees: ticks are whole numbers.
  const Eigen::Vector3d least = 4e-8 * Eigen::Vector3d(ratio[0], ratio[1], ratio[2]).cwiseAbs2();
  std::vector<Pose2> poses;
  std::vector<Pose2> driven;
  std::vector<Eigen::Matrix3d> information;
  for (std::size_t i = 0; i < placed.scans.size(); ++i) {
    poses.push_back(placed.scans[i].pose);
    if (i == 0) continue;
    const double from_s = placed.scans[i - 1].time_s;
    const double to_s = placed.scans[i].time_s;
    driven.push_back(between(path.pose_at(from_s), path.pose_at(to_s)));
    Eigen::Matrix3d covariance = stretch_covariance(steps, noise, from_s, to_s, ratio);
    covariance.diagonal() += least;
    information.push_back((covariance + slip_covariance(steps, from_s, to_s)).inverse());
  }
  const Chain chain(placed.matched, std::move(driven), std::move(information));
  for (int iteration = 0; iteration < 2; ++iteration) {
    if (!chain.step(poses)) break;
  }
  for (std::size_t i = 0; i < poses.size(); ++i) placed.scans[i].pose = poses[i];
}

/// Of both. A wall that is held for a gap is lost, a return from between that is held for a wall makes one cell.
RangeNoise larger(const RangeNoise& found, const RangeNoise& stated) {
  return {std::max(found.near_m, stated.near_m), std::max(found.per_m, stated.per_m)};
}

}  // namespace

std::vector<ScanPose> place_scans(const Drive& drive, const std::vector<OdometryStep>& steps,
                                  const std::vector<std::size_t>& scans, const std::vector<std::size_t>& jumps,
                                  const JointResult& adjusted, int threads,
                                  const std::function<void(double)>& progress) {
  const OdometryPath path(steps, adjusted.constants.odometry());
  const LidarModel lidar = adjusted.constants.lidar(drive.robot.lidar);
  const NodePath node_path(path, adjusted, jumps);

  std::vector<ScanPose> result(scans.size());
  std::vector<std::optional<MatchedScan>> matched(scans.size());
  for_each_index(scans.size(), threads, [&](std::size_t i) {
    result[i].scan = scans[i];
    result[i].time_s = adjusted.constants.wheel_time_s(drive.scans[scans[i]].time_s, adjusted.middle_s);
    matched[i] = match_scan(drive, lidar, path, node_path, adjusted, result[i]);
  });
  // The map's frame is the first used scan's pose: it stays where the adjustment holds it.
  if (scans.front() == adjusted.keyframes.front().scan) {
    matched.front() = {adjusted.poses.front(), 1e12 * Eigen::Matrix3d::Identity()};
  }
  if (progress) progress(0.8);

  Placed all = placed(std::move(result), matched);
  smooth(drive, steps, path, adjusted, all);
  const OdometryPath stated_path(steps, {});
  const Pose2 back = inverse(stated_path.pose_at(all.scans.front().time_s));
  for (ScanPose& scan : all.scans) {
    scan.odometry = all.scans.front().pose * back * stated_path.pose_at(scan.time_s);
  }
  return std::move(all.scans);
}

BeamsOfScan beams_of_scans(const Drive& drive, const OdometryPath& path, const JointResult& adjusted) {
  return [&drive, &path, lidar = adjusted.constants.lidar(drive.robot.lidar),
          noise = larger(adjusted.range_noise, range_noise(drive.robot.lidar))](const ScanPose& placed) {
    const Scan& scan = drive.scans[placed.scan];
    const double largest_m = drive.robot.lidar.max_range_m;
    const SweepMotion motion = sweep_motion(path, placed.time_s, sweep_duration_s(scan, lidar), placed.extra_velocity);
    const double c = std::cos(placed.pose.heading_rad);
    const double s = std::sin(placed.pose.heading_rad);
    std::vector<RasterBeam> beams;
    beams.reserve(scan.returns.size());
    std::size_t hits = 0;
    const std::vector<ScanPoint> points = correct_motion(scan, lidar, std::numeric_limits<double>::infinity(), motion);
    const double spacing_rad = beam_spacing(points);
    for (std::size_t i = 0; i < points.size(); ++i) {
      const ScanPoint& p = points[i];
      const double x = placed.pose.x_m + c * p.x_m - s * p.y_m;
      const double y = placed.pose.y_m + s * p.x_m + c * p.y_m;
      const double beam_x = c * p.beam_x - s * p.beam_y;
      const double beam_y = s * p.beam_x + c * p.beam_y;
      const bool hit = p.measured_m < largest_m;
      const float cosine = hit ? static_cast<float>(placed.incidence[hits++]) / 255.0F : 1.0F;
      const bool vague = hit && cosine == 0.0F && is_mixed(points, i, spacing_rad, largest_m, noise.at(p.range_m));
      beams.push_back({static_cast<float>(x - p.range_m * beam_x), static_cast<float>(y - p.range_m * beam_y),
                       static_cast<float>(x), static_cast<float>(y), hit, cosine, vague});
    }
    return beams;
  };
}

std::vector<ScanPose> in_frame(const Pose2& new_old, std::vector<ScanPose> scans, const BeamsOfScan& beams_of,
                               int threads) {
  for_each_index(scans.size(), threads, [&](std::size_t i) {
    ScanPose& scan = scans[i];
    scan.pose = new_old * scan.pose;
    scan.odometry = new_old * scan.odometry;
    scan.seen.setEmpty();  // a turned box would hold more than was seen
    for (const RasterBeam& beam : beams_of(scan)) {
      if (beam.hit) scan.seen.extend(Eigen::Vector2d(beam.end_x_m, beam.end_y_m));
    }
  });
  return scans;
}

}  // namespace wainscot
