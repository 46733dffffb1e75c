#include "graph/adjust/scan_correction.hpp"

namespace wainscot {
namespace {

constexpr double kLongestS = 3.0;  // over a longer stretch the mean says little about one sweep

/// The constant velocity that bends odometry's path from a node to where the next was found.
Tangent2 extra_velocity(const AdjustmentState& state, const OdometryPath& path, std::size_t node) {
  if (state.poses.size() < 2) return Tangent2::Zero();
  const std::size_t from = node + 1 < state.poses.size() ? node : node - 1;
  const double from_s = state.keyframes[from].time_s;
  const double to_s = state.keyframes[from + 1].time_s;
  const double duration = to_s - from_s;
  if (duration > kLongestS || duration <= 0.0) return Tangent2::Zero();
  const Pose2 driven = between(path.pose_at(from_s), path.pose_at(to_s));
  return log(between(driven, between(state.poses[from], state.poses[from + 1]))) / duration;
}

}  // namespace

Tangent2 sweep_velocity(const std::vector<Keyframe>& keyframes, const std::vector<Pose2>& poses, std::size_t node) {
  if (poses.size() < 2) return Tangent2::Zero();
  const std::size_t from = node + 1 < poses.size() ? node : node - 1;
  const double duration = keyframes[from + 1].time_s - keyframes[from].time_s;
  if (duration <= 0.0 || duration > kLongestS) return Tangent2::Zero();
  return log(between(poses[from], poses[from + 1])) / duration;
}

void correct_scans(const AdjustmentProblem& problem, AdjustmentState& state) {
  const LidarConstants& stated = problem.drive.robot.lidar;
  const OdometryPath path(problem.steps, state.constants.odometry());
  const LidarModel lidar = state.constants.lidar(stated);
  for (std::size_t i = 0; i < state.keyframes.size(); ++i) {
    state.keyframes[i].time_s = state.constants.wheel_time_s(problem.lidar_times_s[i], problem.middle_s);
  }
  for (std::size_t i = 0; i < state.keyframes.size(); ++i) {
    Keyframe& keyframe = state.keyframes[i];
    keyframe.points = prepare_scan(problem.drive.scans[keyframe.scan], keyframe.time_s, lidar, stated, path,
                                   extra_velocity(state, path, i));
  }
}

}  // namespace wainscot
