#include "graph/adjust/clock_errors.hpp"

namespace wainscot {
namespace {

/// The robot's speed at a time, in its own frame (m/s, m/s, rad/s).
Tangent2 speed_at(const OdometryPath& path, double time_s) {
  constexpr double kAroundS = 0.1;  // as long as a sweep of a hobby lidar takes, and some rows of odometry
  return log(between(path.pose_at(time_s - kAroundS), path.pose_at(time_s + kAroundS))) / (2.0 * kAroundS);
}

}  // namespace

ClockErrors::ClockErrors(const Drive& drive, const std::vector<OdometryStep>& steps, const JointResult& adjusted)
    : poses_(adjusted.poses), clock_covariance_(adjusted.constant_covariance.block<2, 2>(kTimeOffset, kTimeOffset)) {
  static_assert(kClockRate == kTimeOffset + 1);
  const OdometryPath path(steps, adjusted.constants.odometry());
  for (const Keyframe& keyframe : adjusted.keyframes) {
    const double from_middle_s = drive.scans[keyframe.scan].time_s - adjusted.middle_s;
    by_clock_.emplace_back(speed_at(path, keyframe.time_s) * Eigen::RowVector2d(1.0, from_middle_s));
  }
}

Eigen::Matrix3d ClockErrors::covariance(std::size_t from, std::size_t to) const {
  const Eigen::Matrix3d back = adjoint(inverse(between(poses_[from], poses_[to])));
  const Eigen::Matrix<double, 3, 2> of_pair = by_clock_[to] - back * by_clock_[from];
  return of_pair * clock_covariance_ * of_pair.transpose();
}

}  // namespace wainscot
