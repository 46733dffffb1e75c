#include "graph/known/drive_steps.hpp"

#include <algorithm>

#include "core/errors.hpp"
#include "graph/track/keyframes.hpp"
#include "graph/usable_scans.hpp"

namespace wainscot {
namespace {

std::vector<OdometryStep> required_steps(const Drive& drive) {
  std::vector<OdometryStep> steps = odometry_steps(drive);
  if (steps.empty()) throw PoorData("the drive has fewer than two rows of odometry; record wheels and scans together");
  return steps;
}

std::vector<std::size_t> required_scans(const Drive& drive, const std::vector<OdometryStep>& steps) {
  std::vector<std::size_t> scans = usable_scans(drive, steps).scans;
  if (scans.empty()) {
    throw PoorData(
        "no scan of the drive has 20 returns and lies inside odometry's times, so that there is nothing to "
        "locate; wainscot check says what is wrong");
  }
  return scans;
}

}  // namespace

Tangent2 speed_at(const OdometryPath& path, double time_s) {
  return log(between(path.pose_at(time_s - kHalfOfSpeedS), path.pose_at(time_s + kHalfOfSpeedS))) /
         (2.0 * kHalfOfSpeedS);
}

DriveSteps::DriveSteps(const Drive& drive, const LidarModel& lidar)
    : drive_(drive),
      lidar_(lidar),
      steps_(required_steps(drive)),
      scans_(required_scans(drive, steps_)),
      path_(steps_, {}),
      noise_(odometry_noise(drive.robot)),
      constants_(constant_prior(drive)) {}

RangeNoise DriveSteps::noise() const { return range_noise(drive_.robot.lidar); }

double DriveSteps::time_s(std::size_t scan) const { return drive_.scans[scan].time_s; }

DriveStep DriveSteps::at(std::size_t scan, double from_s, double to_s) const {
  DriveStep step;
  step.points = prepare_scan(drive_.scans[scan], to_s, lidar_, drive_.robot.lidar, path_, Tangent2::Zero());
  step.speed = speed_at(path_, to_s);
  step.moved = between(path_.pose_at(from_s), path_.pose_at(to_s));
  const double first_s = std::min(from_s, to_s);
  const double last_s = std::max(from_s, to_s);
  step.covariance = stretch_covariance(steps_, noise_, first_s, last_s);
  step.covariance.diagonal() += constants_variance(constants_, path_, first_s, last_s, !drive_.gyro.empty());
  if (from_s > to_s) {
    // (M exp(e))^-1 = M^-1 exp(-adjoint(M) e): an error at the later end of a motion M, seen from the earlier one.
    const Eigen::Matrix3d carry = adjoint(inverse(step.moved));
    step.covariance = carry * step.covariance * carry.transpose();
  }
  return step;
}

}  // namespace wainscot
