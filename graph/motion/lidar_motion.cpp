#include "graph/motion/lidar_motion.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include <Eigen/Dense>

#include "core/median.hpp"
#include "graph/parallel.hpp"
#include "scanmatch/correlative.hpp"
#include "scanmatch/icp.hpp"
#include "scanmatch/line_map.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {
namespace {

constexpr double kFullTurn = 2.0 * std::numbers::pi;  // of a circle

/// 1 where the angles grow in the order of firing, -1 where they fall.
double firing_direction(const std::vector<Scan>& scans) {
  std::ptrdiff_t growing = 0;
  for (const Scan& scan : scans) {
    for (std::size_t i = 1; i < scan.returns.size(); ++i) {
      const double step = wrap_angle(scan.returns[i].angle_rad - scan.returns[i - 1].angle_rad);
      growing += step > 0.0 ? 1 : -1;
    }
  }
  return growing >= 0 ? 1.0 : -1.0;
}

/// Fractions of a turn by the angle from the first return on: what is left where no times are known.
void count_turns_by_angle(Scan& scan, double direction) {
  if (scan.returns.empty()) return;
  const double first = scan.returns.front().angle_rad;
  for (Return& beam : scan.returns) {
    double travel = direction * (static_cast<double>(beam.angle_rad) - first);
    travel -= kFullTurn * std::floor(travel / kFullTurn + 1e-6);
    beam.time_offset_s = static_cast<float>(travel / kFullTurn);
  }
}

std::vector<ScanPoint> with_normals(std::vector<ScanPoint> points, const LidarConstants& lidar) {
  estimate_normals(points, range_noise(lidar), kNormalsOfSingleScans);
  return points;
}

double half_sweep_s(const TurnScans& scans, double sweep_s) { return 0.5 * std::abs(sweep_s) * scans.turns; }

std::vector<Eigen::Vector2d> ends_of(const std::vector<ScanPoint>& points) {
  constexpr std::size_t kMost = 240;  // for the search alone, whose time grows with it: one in 1.5 degrees
  constexpr float kReachM = 8.0F;     // where such ends are 0.2 m apart, still nearer than the walls of a door
  const std::size_t stride = std::max<std::size_t>(1, points.size() / kMost);
  std::vector<Eigen::Vector2d> ends;
  for (std::size_t i = 0; i < points.size(); i += stride) {
    if (points[i].range_m <= kReachM) ends.emplace_back(points[i].x_m, points[i].y_m);
  }
  return ends;
}

/// Walls in all directions: no direction of motion that hardly any return tells.
bool tells_all(const Eigen::Matrix3d& information) {
  constexpr double kWorstSdM = 0.03;  // a tenth of the way between keyframes
  constexpr double kLeverM = 2.0;     // a turn shows on walls about so far away
  const Eigen::Vector3d scale(1.0, 1.0, 1.0 / kLeverM);
  const Eigen::Matrix3d scaled = scale.asDiagonal() * information * scale.asDiagonal();
  return Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(scaled, Eigen::EigenvaluesOnly).eigenvalues()(0) >
         1.0 / (kWorstSdM * kWorstSdM);
}

/// One round of matching each scan against the one before.
class Follower {
 public:
  Follower(const TurnScans& scans, const LidarConstants& lidar, const LidarMotionOptions& options)
      : scans_(scans), lidar_(lidar), options_(options), points_(scans.scans.size()) {}

  /// The points by the velocities known so far (none: as if it stood), then the steps.
  void round(LidarMotion& motion) {
    for_each_index(points_.size(), options_.threads, [&](std::size_t i) {
      const bool known = !motion.velocities.empty();
      points_[i] = with_normals(
          unswept(scans_.scans[i], scans_.turns, options_.sweep_s, known ? motion.velocities[i] : Tangent2::Zero()),
          lidar_);
    });
    const bool first = motion.steps.empty();
    motion.steps.resize(points_.size() - 1);
    constexpr std::size_t kBlock = 16;  // within it, each match begins with the velocity of the one before
    const std::size_t blocks = (motion.steps.size() + kBlock - 1) / kBlock;
    for_each_index(blocks, options_.threads, [&](std::size_t block) {
      Tangent2 velocity = Tangent2::Zero();
      for (std::size_t i = block * kBlock; i < std::min((block + 1) * kBlock, motion.steps.size()); ++i) {
        const double dt = scans_.scans[i + 1].time_s - scans_.scans[i].time_s;
        const Pose2 guess = first ? exp(dt * velocity) : motion.steps[i].motion;
        motion.steps[i] = step(i, guess, dt);
        velocity = motion.steps[i].sure ? Tangent2(log(motion.steps[i].motion) / dt) : Tangent2::Zero();
      }
    });
  }

 private:
  LidarStride step(std::size_t i, const Pose2& guess, double dt) const {
    constexpr double kGood = 0.85;  // chosen by hand on simulated homes whose numbers were not kept
    LidarStride best = match_points(points_[i], points_[i + 1], lidar_, guess, options_.least_overlap);
    if (best.overlap < kGood) {
      const LidarStride searched = search(i, dt);
      if (searched.overlap > best.overlap + 0.03) best = searched;
    }
    best.from = i;
    best.to = i + 1;
    best.begin_s = scans_.scans[i].time_s + half_sweep_s(scans_, options_.sweep_s);
    best.end_s = scans_.scans[i + 1].time_s + half_sweep_s(scans_, options_.sweep_s);
    return best;
  }

  LidarStride search(std::size_t i, double dt) const {
    CorrelativeOptions raster;
    raster.min_score = 0.2;
    const double half_m = std::clamp(options_.fastest_m_s * dt, 0.15, 1.5);
    const double half_rad = std::clamp(options_.fastest_rad_s * dt, 0.1, std::numbers::pi);
    const auto found = LikelihoodRaster(ends_of(points_[i]), raster)
                           .search(ends_of(points_[i + 1]), Pose2{}, {half_m, half_m, half_rad});
    if (!found) return {};
    return match_points(points_[i], points_[i + 1], lidar_, found->pose, options_.least_overlap);
  }

  const TurnScans& scans_;
  const LidarConstants& lidar_;
  LidarMotionOptions options_;
  std::vector<std::vector<ScanPoint>> points_;
};

/// Velocities in the middle of each sweep: between those of the steps before and after.
void set_velocities(LidarMotion& motion) {
  const std::size_t steps = motion.steps.size();
  motion.velocities.assign(steps + 1, Tangent2::Zero());
  for (std::size_t i = 0; i <= steps; ++i) {
    Tangent2 sum = Tangent2::Zero();
    double count = 0.0;
    for (const std::size_t k : {i - 1, i}) {  // one of them is beyond the end at both ends
      if (k >= steps || !motion.steps[k].sure) continue;
      sum += log(motion.steps[k].motion) / (motion.steps[k].end_s - motion.steps[k].begin_s);
      count += 1.0;
    }
    if (count > 0.0) motion.velocities[i] = sum / count;
  }
}

}  // namespace

TurnScans turn_scans(const std::vector<Scan>& scans, const LidarConstants& lidar, std::size_t fewest) {
  TurnScans result;
  std::vector<double> intervals;
  for (std::size_t i = 1; i < scans.size(); ++i) intervals.push_back(scans[i].time_s - scans[i - 1].time_s);
  result.turn_s = median(std::move(intervals));
  result.stated_s = lidar.sweep_s ? *lidar.sweep_s * lidar.clock_rate : result.turn_s;
  const double direction = firing_direction(scans);
  for (const Scan& scan : scans) {
    Scan kept{scan.time_s, {}};
    for (const Return& beam : scan.returns) {
      if (static_cast<double>(beam.range_m) >= lidar.max_range_m) continue;
      kept.returns.push_back(beam);
      kept.returns.back().range_m =
          static_cast<float>(static_cast<double>(beam.range_m) * lidar.range_scale + lidar.range_offset_m);
    }
    if (kept.returns.size() < fewest) continue;
    if (result.stated_s > 0.0) {
      for (Return& beam : kept.returns) {
        beam.time_offset_s = static_cast<float>(static_cast<double>(beam.time_offset_s) / result.stated_s);
      }
    } else {
      count_turns_by_angle(kept, direction);
    }
    result.turns = std::max(result.turns, static_cast<double>(kept.returns.back().time_offset_s));
    result.scans.push_back(std::move(kept));
  }
  return result;
}

std::vector<ScanPoint> unswept(const Scan& scan, double turns, double sweep_s, const Tangent2& velocity) {
  SweepMotion motion;
  motion.duration_s = std::abs(sweep_s) * turns;
  for (int k = 0; k <= SweepMotion::kSteps; ++k) {
    // Fired in the opposite order, the beam that is listed last came first.
    const double share = static_cast<double>(sweep_s < 0.0 ? SweepMotion::kSteps - k : k) / SweepMotion::kSteps;
    motion.poses[static_cast<std::size_t>(k)] = exp((share - 0.5) * motion.duration_s * velocity);
  }
  LidarModel model;
  model.sweep_scale = std::abs(sweep_s);
  return correct_motion(scan, model, std::numeric_limits<double>::infinity(), motion);
}

LidarStride match_points(const std::vector<ScanPoint>& reference, const std::vector<ScanPoint>& points,
                         const LidarConstants& lidar, const Pose2& guess, double least_overlap) {
  const RangeNoise noise = range_noise(lidar);
  LineMap map;
  add_scan(map, reference, {}, noise, 0);
  const IcpOptions icp;
  const IcpResult found = match_icp(points, map, noise, guess, Eigen::Matrix3d::Zero(), icp);
  LidarStride stride;
  stride.motion = found.pose;
  stride.motion.heading_rad = wrap_angle(stride.motion.heading_rad);
  stride.overlap = found.overlap;
  stride.misfit_m2 = found.overlap * found.residual_rms_m * found.residual_rms_m +
                     (1.0 - found.overlap) * icp.last_gate_m * icp.last_gate_m;
  stride.sure = found.pairs >= 20 && found.overlap >= least_overlap && tells_all(found.information);
  return stride;
}

LidarMotion follow_lidar(const TurnScans& scans, const LidarConstants& lidar, const LidarMotionOptions& options) {
  LidarMotion motion;
  if (scans.scans.size() < 2) return motion;
  Follower follower(scans, lidar, options);
  for (int k = 0; k <= options.corrections; ++k) {
    follower.round(motion);
    set_velocities(motion);
  }
  return motion;
}

Pose2 along_steps(const LidarMotion& motion, std::size_t from, std::size_t to) {
  Pose2 sum;
  for (std::size_t i = from; i < to; ++i) sum = sum * motion.steps[i].motion;
  return sum;
}

std::vector<LidarStride> long_strides(const TurnScans& scans, const LidarMotion& motion, const LidarConstants& lidar,
                                      const LidarMotionOptions& options, double way_m, double turn_rad, double time_s) {
  std::vector<LidarStride> strides;
  for (std::size_t from = 0; from + 1 < scans.scans.size();) {
    Pose2 moved;
    double way = 0.0;
    bool sure = true;
    std::size_t to = from;
    while (to + 1 < scans.scans.size()) {
      const LidarStride& step = motion.steps[to];
      if (to > from && (way > way_m || std::abs(moved.heading_rad) > turn_rad ||
                        step.end_s - motion.steps[from].begin_s > time_s || !step.sure)) {
        break;
      }
      moved = moved * step.motion;
      way += step.motion.translation().norm();
      sure = step.sure;
      ++to;
      if (!sure) break;
    }
    strides.push_back({from, to, motion.steps[from].begin_s, motion.steps[to - 1].end_s, moved, 0.0, sure, 0.0});
    from = to;
  }
  for_each_index(strides.size(), options.threads, [&](std::size_t k) {
    LidarStride& stride = strides[k];
    if (!stride.sure) return;
    const auto points = [&](std::size_t i) {
      return with_normals(unswept(scans.scans[i], scans.turns, options.sweep_s, motion.velocities[i]), lidar);
    };
    const LidarStride found =
        match_points(points(stride.from), points(stride.to), lidar, stride.motion, options.least_overlap);
    const bool agrees = (found.motion.translation() - stride.motion.translation()).norm() < 0.15 &&
                        std::abs(wrap_angle(found.motion.heading_rad - stride.motion.heading_rad)) < 0.1;
    stride.overlap = found.overlap;
    stride.sure = found.sure && agrees;
    if (!stride.sure) return;
    const double turns = std::round((stride.motion.heading_rad - found.motion.heading_rad) / kFullTurn);
    stride.motion = found.motion;
    stride.motion.heading_rad += turns * kFullTurn;
  });
  return strides;
}

}  // namespace wainscot
