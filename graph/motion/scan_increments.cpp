#include "graph/motion/scan_increments.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include <Eigen/Dense>

#include "core/median.hpp"
#include "scanmatch/correlative.hpp"
#include "scanmatch/icp.hpp"
#include "scanmatch/line_map.hpp"
#include "scanmatch/motion_correction.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {
namespace {

// One in nine degrees: of fewer, neighbours at 3 m are half a metre apart and make no line.
constexpr std::size_t kFewestReturns = 40;
constexpr int kCorrections =
    3;  // of correcting and matching: an error of the correction falls to 0.4 of itself in each

/// The lidar's motion during one sweep: a velocity (m/s, m/s, rad/s, lidar's frame) that changes steadily.
struct SweepVelocity {
  Tangent2 at_begin = Tangent2::Zero();
  Tangent2 change_per_s = Tangent2::Zero();
};

SweepMotion motion_of(const SweepVelocity& velocity, double duration_s) {
  SweepMotion motion;
  motion.duration_s = duration_s;
  if (duration_s <= 0.0) return motion;
  const double step_s = duration_s / SweepMotion::kSteps;
  for (std::size_t i = 1; i < motion.poses.size(); ++i) {
    const double middle_s = (static_cast<double>(i) - 0.5) * step_s;
    motion.poses[i] = motion.poses[i - 1] * exp(step_s * (velocity.at_begin + middle_s * velocity.change_per_s));
  }
  return motion;
}

struct Match {
  Pose2 motion;
  Eigen::Matrix3d information = Eigen::Matrix3d::Zero();
  double overlap = 0.0;
};

class ScanFollower {
 public:
  ScanFollower(const Drive& drive, const ScanIncrementOptions& options) : drive_(drive), options_(options) {
    lidar_.range_scale = drive.robot.lidar.range_scale;
    lidar_.range_offset_m = drive.robot.lidar.range_offset_m;
    noise_ = range_noise(drive.robot.lidar);
    icp_.line_error_m = options.line_error_m;
    for (std::size_t i = 0; i < drive.scans.size(); ++i) {
      const bool first = usable_.empty() || drive.scans[i].time_s > drive.scans[usable_.back()].time_s;
      if (first && drive.scans[i].returns.size() >= kFewestReturns) usable_.push_back(i);
    }
    lidar_.sweep_scale = sweep_scale();
    points_.resize(usable_.size());
    steps_.resize(usable_.empty() ? 0 : usable_.size() - 1);
  }

  ScanIncrements run() {
    ScanIncrements result;
    result.scans = static_cast<int>(usable_.size());
    if (usable_.size() < 2) return result;
    follow();
    for (int round = 0; round < kCorrections; ++round) {
      correct_scans();
      renew_steps();
    }
    correct_scans();
    for (std::size_t i = 0; i < steps_.size(); ++i) {
      if (steps_[i]) {
        result.short_steps.push_back(increment(i, i + 1, *steps_[i]));
      } else {
        ++result.lost;
      }
    }
    result.long_steps = long_steps();
    return result;
  }

 private:
  double time_s(std::size_t i) const { return drive_.scans[usable_[i]].time_s; }

  /// A motor that turns a few per cent faster than robot.yaml's sweep_s says shows in the times between scans.
  double sweep_scale() const {
    constexpr double kMost = 0.1;  // further off, the log does not have every turn, or the lidar rests in between
    const double stated_s = drive_.robot.lidar.sweep_s.value_or(0.0);
    if (stated_s <= 0.0 || usable_.size() < 3) return 1.0;
    std::vector<double> intervals;
    for (std::size_t i = 1; i < usable_.size(); ++i) intervals.push_back(time_s(i) - time_s(i - 1));
    const double scale = median(std::move(intervals)) / stated_s;
    return std::abs(scale - 1.0) < kMost ? scale : 1.0;
  }

  std::vector<ScanPoint> corrected(std::size_t i, const SweepVelocity& velocity) const {
    const Scan& scan = drive_.scans[usable_[i]];
    const SweepMotion motion = motion_of(velocity, sweep_duration_s(scan, lidar_));
    std::vector<ScanPoint> points = correct_motion(scan, lidar_, drive_.robot.lidar.max_range_m, motion);
    estimate_normals(points, noise_, kNormalsOfSingleScans);
    return points;
  }

  Match match(const std::vector<ScanPoint>& from, const std::vector<ScanPoint>& to, const Pose2& predicted) const {
    LineMap map;
    add_scan(map, from, {}, noise_, 0);
    const IcpResult found = match_icp(to, map, noise_, predicted, Eigen::Matrix3d::Zero(), icp_);
    return {found.pose, found.information, found.converged ? found.overlap : 0.0};
  }

  /// Over the whole window, whatever the prediction.
  Match search(const std::vector<ScanPoint>& from, const std::vector<ScanPoint>& to) const {
    const auto ends = [](const std::vector<ScanPoint>& points) {
      std::vector<Eigen::Vector2d> places;
      for (const ScanPoint& p : points) places.emplace_back(p.x_m, p.y_m);
      return places;
    };
    const LikelihoodRaster raster(ends(from), {});
    const auto coarse = raster.search(ends(to), {}, {options_.search_m, options_.search_m, options_.search_rad});
    return coarse ? match(from, to, coarse->pose) : Match{};
  }

  /// The first round: from scan to scan, predicting that the motion goes on as it was.
  void follow() {
    Tangent2 velocity = Tangent2::Zero();
    Tangent2 before = Tangent2::Zero();
    points_[0] = corrected(0, {});
    for (std::size_t i = 0; i + 1 < points_.size(); ++i) {
      const double dt = time_s(i + 1) - time_s(i);
      // The mean of two steps, see correct_scans().
      points_[i + 1] = corrected(i + 1, {0.5 * (velocity + before), Tangent2::Zero()});
      Match found = match(points_[i], points_[i + 1], exp(dt * velocity));
      if (found.overlap < options_.min_overlap) {
        const Match searched = search(points_[i], points_[i + 1]);
        if (searched.overlap > found.overlap) found = searched;
      }
      before = velocity;
      velocity.setZero();
      if (found.overlap < options_.min_overlap) continue;
      steps_[i] = found;
      velocity = log(found.motion) / dt;
    }
  }

  std::optional<Tangent2> step_velocity(std::size_t i) const {
    if (i >= steps_.size() || !steps_[i]) return std::nullopt;
    return log(steps_[i]->motion) / (time_s(i + 1) - time_s(i));
  }

  /// The step that begins with a sweep says how the lidar moved during it, its neighbours how that changed. Were the
  /// step alone used, an error of one sweep's correction would come back from its neighbours with the other sign and
  /// undiminished, round after round; weights of 1, 2, 1 end that.
  void correct_scans() {
    for (std::size_t i = 0; i < points_.size(); ++i) {
      const auto during = step_velocity(i);
      const auto before = i > 0 ? step_velocity(i - 1) : std::nullopt;
      const auto after = step_velocity(i + 1);
      const Tangent2 middle = during ? *during : before ? *before : Tangent2::Zero();
      const Tangent2 first = before ? *before : middle;
      const Tangent2 last = after ? *after : middle;
      SweepVelocity velocity{0.25 * (first + 2.0 * middle + last), Tangent2::Zero()};
      if (before && during && after) {
        const double dt = time_s(i + 1) - time_s(i);
        velocity.change_per_s = (last - first) / (2.0 * dt);
        velocity.at_begin -= 0.5 * dt * velocity.change_per_s;
      }
      points_[i] = corrected(i, velocity);
    }
  }

  void renew_steps() {
    for (std::size_t i = 0; i < steps_.size(); ++i) {
      if (!steps_[i]) continue;
      const Match found = match(points_[i], points_[i + 1], steps_[i]->motion);
      if (found.overlap >= options_.min_overlap) steps_[i] = found;
    }
  }

  ScanIncrement increment(std::size_t from, std::size_t to, const Match& found) const {
    ScanIncrement result;
    result.from = usable_[from];
    result.to = usable_[to];
    result.begin_s = time_s(from);
    result.end_s = time_s(to);
    result.motion = found.motion;
    // A direction that the walls leave open has no information; a metre says as much.
    result.covariance = (found.information + Eigen::Matrix3d::Identity()).inverse();
    result.overlap = found.overlap;
    return result;
  }

  std::vector<ScanIncrement> long_steps() const {
    std::vector<ScanIncrement> result;
    std::size_t from = 0;
    Pose2 moved;
    for (std::size_t i = 0; i < steps_.size(); ++i) {
      if (!steps_[i]) {
        from = i + 1;
        moved = {};
        continue;
      }
      moved = moved * steps_[i]->motion;
      const bool far = moved.translation().norm() > options_.way_m || std::abs(moved.heading_rad) > options_.turn_rad;
      if (!far && time_s(i + 1) - time_s(from) < options_.longest_s) continue;
      const Match found = match(points_[from], points_[i + 1], moved);
      if (found.overlap >= options_.min_overlap) result.push_back(increment(from, i + 1, found));
      from = i + 1;
      moved = {};
    }
    return result;
  }

  const Drive& drive_;
  ScanIncrementOptions options_;
  LidarModel lidar_;
  RangeNoise noise_;
  IcpOptions icp_;
  std::vector<std::size_t> usable_;  ///< indices into drive_.scans
  std::vector<std::vector<ScanPoint>> points_;
  std::vector<std::optional<Match>> steps_;  ///< from usable scan i to i + 1
};

}  // namespace

ScanIncrements find_scan_increments(const Drive& drive, const ScanIncrementOptions& options) {
  return ScanFollower(drive, options).run();
}

}  // namespace wainscot
