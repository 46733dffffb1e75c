#include "graph/motion/scan_odometry.hpp"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "core/odometry.hpp"
#include "graph/constants.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

// Less than two ticks of the coarsest wheels: by its own record the robot went nowhere,
constexpr double kStillM = 0.02;
// and by its scans it did, not only turned on the spot: there is no map without a keyframe's way.
constexpr double kWentM = 0.3;

/// A chain of increments is known far better than this along walls in all directions, and far worse in a corridor. It
/// is made of the very scans that tracking matches along it, so that it must not count as a second witness: 5 cm and
/// 3 degrees from one node to the next, ten times what a match in a room leaves.
MotionNoise noise_of_scans() {
  MotionNoise noise;
  noise.sd_m_per_sqrt_m = 0.1;      // 5 cm after a node's 0.3 m
  noise.sd_rad_per_sqrt_rad = 0.1;  // 3 degrees after a node's 17
  return noise;
}

/// Robot poses at the scans' stamps, the first at the origin.
class PoseChain {
 public:
  explicit PoseChain(const Drive& drive) : mounting_(lidar_model(drive.robot.lidar).mounting) {}

  void begin(double time_s) { poses_.push_back({time_s, Pose2{}}); }

  void add(double to_s, const Pose2& lidar_motion) {
    poses_.push_back({to_s, poses_.back().pose * mounting_ * lidar_motion * inverse(mounting_)});
  }

  /// The scans say nothing of the way to this one: the robot is left where it was.
  void add_unknown(double to_s) {
    breaks_.push_back(poses_.size());
    poses_.push_back({to_s, poses_.back().pose});
  }

  /// Up to `to_s` the robot goes on as in the last step.
  void go_on(double to_s) {
    if (poses_.size() < 2) return;
    const TimedPose& before = poses_[poses_.size() - 2];
    const TimedPose& last = poses_.back();
    if (to_s <= last.time_s) return;
    const double share = (to_s - last.time_s) / (last.time_s - before.time_s);
    poses_.push_back({to_s, last.pose * exp(share * log(between(before.pose, last.pose)))});
  }

  const std::vector<TimedPose>& poses() const { return poses_; }
  const std::vector<std::size_t>& breaks() const { return breaks_; }

 private:
  Pose2 mounting_;
  std::vector<TimedPose> poses_;
  std::vector<std::size_t> breaks_;
};

double farthest_m(const std::vector<TimedPose>& poses) {
  double farthest = 0.0;
  for (const TimedPose& pose : poses) {
    farthest = std::max(farthest, (pose.pose.translation() - poses.front().pose.translation()).norm());
  }
  return farthest;
}

double end_of(const Scan& scan) {
  return scan.time_s + (scan.returns.empty() ? 0.0 : static_cast<double>(scan.returns.back().time_offset_s));
}

}  // namespace

bool has_no_motion(const Drive& drive) {
  const std::vector<OdometryStep> steps = odometry_steps(drive);
  if (steps.empty()) return true;
  double way_m = 0.0;
  for (const OdometryStep& step : steps) way_m += step.motion.head<2>().norm();
  return way_m < kStillM;
}

Drive with_motion_by_scans(Drive drive, const ScanIncrements& increments) {
  PoseChain chain(drive);
  for (const ScanIncrement& step : increments.short_steps) {
    if (chain.poses().empty()) {
      chain.begin(step.begin_s);
    } else if (chain.poses().back().time_s < step.begin_s) {
      chain.add_unknown(step.begin_s);
    }
    chain.add(step.end_s, step.motion);
  }
  chain.go_on(drive.scans.empty() ? 0.0 : end_of(drive.scans.back()));
  drive.wheels.clear();
  drive.odometry = chain.poses();
  drive.breaks = chain.breaks();
  drive.robot.motion_noise = noise_of_scans();
  for (std::size_t i = 1; i < drive.odometry.size(); ++i) {
    double& heading = drive.odometry[i].pose.heading_rad;
    const double before = drive.odometry[i - 1].pose.heading_rad;
    heading = before + wrap_angle(heading - before);
  }
  return drive;
}

Drive with_motion(Drive drive) {
  if (!has_no_motion(drive)) return drive;
  const bool recorded = !drive.wheels.empty() || !drive.odometry.empty();
  const ScanIncrements increments = find_scan_increments(drive);
  Drive by_scans = with_motion_by_scans(drive, increments);
  if (farthest_m(by_scans.odometry) < kWentM) return drive;  // it really stood, and the mapper says so
  by_scans.warnings.push_back(sentence(
      "%s, so that the motion is taken from the scans alone: %zu of %zu fit the one before; along bare walls "
      "such a map comes out too short or too long, so record the wheels",
      recorded ? "by its own record the robot went nowhere, by its scans it did"
               : "nothing is recorded of how the robot moved",
      increments.short_steps.size(), increments.short_steps.size() + static_cast<std::size_t>(increments.lost)));
  return by_scans;
}

}  // namespace wainscot
