#include "graph/motion/found_robot.hpp"

#include <cmath>
#include <numbers>
#include <string>

#include "core/angles.hpp"
#include "core/errors.hpp"
#include "graph/constants.hpp"
#include "graph/motion/clock_fit.hpp"
#include "graph/motion/robot_fit.hpp"
#include "graph/motion/sampled_strides.hpp"
#include "graph/motion/scan_odometry.hpp"
#include "graph/motion/wheel_series.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

/// Wider than a ruler leaves them, so that in the mapping it is the drive that speaks: the fit was a start, not a
/// second witness: twice and more what constant_prior() takes to be usual of wheels, and as much of the width.
constexpr double kWheelSd = 0.04;
constexpr double kWidthSd = 0.04;

struct Found {
  RobotFit fit;
  ClockFit clock;
};

Found fit_of(const Drive& drive) {
  const SampledStrides sampled = sampled_strides(drive, {});
  const WheelSeries wheels(drive);
  Found found;
  found.clock = fit_clock(sampled.steps, wheels);
  found.fit = fit_robot(sampled.strides, wheels, found.clock, drive.robot.drive->track_width_m);
  return found;
}

/// What the mapping can begin with: wheels to what tracking bears, the lidar's place as a ruler would have it.
void require_shown(const Found& found, const Drive& drive) {
  constexpr double kWorstScale = 0.1;      // tracking predicts a step of 0.3 m to 3 cm with it
  constexpr double kLeastExplained = 0.5;  // of the lidar's turns, by the wheels: more than not
  const ConstantMatrix prior = constant_prior(drive);
  const RobotFit& fit = found.fit;
  const auto sd = [](const Eigen::Matrix3d& covariance, int i) { return std::sqrt(covariance(i, i)); };
  std::string why;
  if (fit.strides == 0) {
    why = "too few scans fit one another; drive slowly, with walls in view";
  } else if (found.clock.explained < kLeastExplained) {
    why = "wheels and scans tell of different motions; look with wainscot check";
  } else if (!fit.drove || sd(fit.scale_covariance, 0) > kWorstScale || sd(fit.scale_covariance, 1) > kWorstScale) {
    why = "it hardly drove, or a wheel hardly counted; drive some metres straight ahead and some turns to both sides";
  } else if (sd(fit.scale_covariance, 2) > kWorstScale ||
             sd(fit.mounting_covariance, 0) > std::sqrt(prior(kMountingX, kMountingX)) ||
             sd(fit.mounting_covariance, 1) > std::sqrt(prior(kMountingY, kMountingY)) ||
             sd(fit.mounting_covariance, 2) > std::sqrt(prior(kMountingHeading, kMountingHeading))) {
    why = "it turned too little; turn on the spot twice round, once each way, and drive on";
  }
  if (why.empty()) return;
  throw PoorData(
      sentence("robot.yaml leaves out left_m_per_tick, right_m_per_tick and track_width_m, and the drive does not show "
               "them: %s, "
               "or write them into robot.yaml",
               why.c_str()));
}

/// The same robot seen in a mirror that exchanges front and back: wheels that count forwards, a lidar whose angles run
/// the other way round.
RobotFit turned_round(RobotFit fit) {
  fit.left_m_per_tick = -fit.left_m_per_tick;
  fit.right_m_per_tick = -fit.right_m_per_tick;
  fit.mounting = {-fit.mounting.x_m, fit.mounting.y_m, std::numbers::pi - fit.mounting.heading_rad};
  return fit;
}

void negate_angles(std::vector<Scan>& scans) {
  for (Scan& scan : scans) {
    for (Return& beam : scan.returns) {
      beam.angle_rad = static_cast<float>(wrap_angle(-static_cast<double>(beam.angle_rad)));
    }
  }
}

void take_wheels(const RobotFit& fit, DriveConstants& wheels) {
  wheels.left_m_per_tick = fit.left_m_per_tick;
  wheels.right_m_per_tick = fit.right_m_per_tick;
  wheels.track_width_m = fit.track_width_m;
  const auto sd = [&fit](int i, double least) { return std::hypot(least, std::sqrt(fit.scale_covariance(i, i))); };
  wheels.left_sd_m_per_tick = sd(0, kWheelSd) * std::abs(fit.left_m_per_tick);
  wheels.right_sd_m_per_tick = sd(1, kWheelSd) * std::abs(fit.right_m_per_tick);
  wheels.track_width_sd_m = sd(2, kWidthSd) * fit.track_width_m;
}

/// Only where it is further off than the mapping finds by itself.
void take_clock(const ClockFit& clock, Drive& drive) {
  const double prior_sd_s = std::sqrt(constant_prior(drive)(kTimeOffset, kTimeOffset));
  if (std::abs(clock.offset_s) < 3.0 * std::hypot(prior_sd_s, clock.offset_sd_s)) return;
  drive.robot.lidar.time_offset_s += clock.offset_s;
  for (Scan& scan : drive.scans) scan.time_s += clock.offset_s;
}

}  // namespace

Drive with_found_robot(Drive drive) {
  LeftOut& left_out = drive.robot.left_out;
  if (!left_out.wheels || left_out.found || has_no_motion(drive)) return drive;
  const Found found = fit_of(drive);
  require_shown(found, drive);
  RobotFit fit = found.fit;
  LidarConstants& lidar = drive.robot.lidar;
  left_out.mirrored = left_out.mirrored && fit.left_m_per_tick < 0.0 && fit.right_m_per_tick < 0.0;
  if (left_out.mirrored) {
    fit = turned_round(fit);
    lidar.mirrored = true;
    negate_angles(drive.scans);
  }
  if (left_out.mounting) {
    lidar.x_m = fit.mounting.x_m;
    lidar.y_m = fit.mounting.y_m;
    lidar.heading_deg = kDegreesPerRadian * wrap_angle(fit.mounting.heading_rad);
  }
  take_wheels(fit, *drive.robot.drive);
  take_clock(found.clock, drive);
  left_out.found = true;
  return drive;
}

}  // namespace wainscot
