#include "graph/calibrate/drive_calibration.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include "core/angles.hpp"
#include "core/errors.hpp"
#include "core/odometry.hpp"
#include "core/small_samples.hpp"
#include "graph/calibrate/drive_adjustment.hpp"
#include "graph/calibrate/tick_clock.hpp"
#include "graph/calibrate/turn_fit.hpp"
#include "graph/calibrate/way_fit.hpp"

namespace wainscot {
namespace {

// Two blocks of six (graph/calibrate/drive_adjustment.cpp), the fewest that a scatter can be had from.
constexpr int kFewestIncrements = 12;

/// Whether a counter restarted during the increment, at any offset of the clock.
bool over_break(const Drive& drive, const ScanIncrement& step, double widest_offset_s) {
  return std::any_of(drive.breaks.begin(), drive.breaks.end(), [&](std::size_t sample) {
    return sample > 0 && sample < drive.wheels.size() && drive.wheels[sample].time_s > step.begin_s - widest_offset_s &&
           drive.wheels[sample - 1].time_s < step.end_s + widest_offset_s;
  });
}

/// The increments that the wheels know of at any offset of the clock.
std::vector<ScanIncrement> usable_steps(const Drive& drive, const TickClock& ticks, const ScanIncrements& increments,
                                        double widest_offset_s) {
  std::vector<ScanIncrement> usable;
  for (const ScanIncrement& step : increments.long_steps) {
    const bool inside =
        step.begin_s - widest_offset_s > ticks.begin_s() && step.end_s + widest_offset_s < ticks.end_s();
    if (inside && !over_break(drive, step, widest_offset_s)) usable.push_back(step);
  }
  return usable;
}

/// Both linear steps.
DriveVector linear_fit(const std::vector<ScanIncrement>& steps, const TickClock& ticks, const DriveConstants& stated,
                       double widest_offset_s) {
  constexpr double kHardlyTurned_rad = 1.0;  // in the whole drive: what is turned then is noise
  const double width_m = stated.track_width_m;
  double turned = 0.0;
  for (const ScanIncrement& step : steps) turned += std::abs(step.motion.heading_rad);
  if (turned <= kHardlyTurned_rad) {
    const Eigen::Vector2d by_ticks(stated.left_m_per_tick / width_m, stated.right_m_per_tick / width_m);
    return fit_ways(steps, ticks, by_ticks, 0.0, width_m);
  }
  const double offset_s = find_offset_s(steps, ticks, widest_offset_s);
  return fit_ways(steps, ticks, fit_turns(steps, ticks, offset_s).by_ticks, offset_s, width_m);
}

/// Ways, turns and residuals of the drive.
void describe(const std::vector<ScanIncrement>& steps, const TickClock& ticks, const DriveVector& v,
              DriveCalibration& result) {
  double squares_m2 = 0.0;
  double squares_rad2 = 0.0;
  for (const ScanIncrement& step : steps) {
    const Pose2 robot = robot_motion(v, ticks, step);
    constexpr double kStraight_rad = 0.035;  // 2 degrees an increment; for a message only
    const double way = robot.translation().norm();
    result.way_m += way;
    if (std::abs(robot.heading_rad) < kStraight_rad) result.straight_m += way;
    (robot.heading_rad > 0.0 ? result.left_turn_rad : result.right_turn_rad) += std::abs(robot.heading_rad);
    const Tangent2 error = increment_difference(v, ticks, step);
    squares_m2 += error.head<2>().squaredNorm();
    squares_rad2 += error.z() * error.z();
  }
  result.residual_m = std::sqrt(squares_m2 / static_cast<double>(steps.size()));
  result.residual_rad = std::sqrt(squares_rad2 / static_cast<double>(steps.size()));
}

/// Where the two sides slip unequally, the point that the robot turns about moves sideways, which is the same as a
/// lidar that sits elsewhere: it differs from floor to floor by some parts of a hundred of half the track width. And
/// the clocks of hobby boards drift apart by some 30 ppm, so that one offset is right in the middle of the drive
/// only, while the drive's turns, which show it, lie a sixth of it away from there or so (both: common practice, no
/// source; the first is the figure of graph/mapping/refined_constants.cpp).
void add_what_one_number_cannot_say(double track_width_m, double duration_s, DriveMatrix& covariance) {
  constexpr double kTurningCentreVaries = 0.012;
  constexpr double kDrift = 30e-6;
  covariance(kLidarY, kLidarY) += std::pow(kTurningCentreVaries * 0.5 * track_width_m, 2);
  covariance(kClockOffset, kClockOffset) += std::pow(kDrift * duration_s / 6.0, 2);
}

/// Good enough to be used, the lidar's scale apart: 2 % of the wheels, 5 % of the width, 15 mm, 1 degree, 20 ms.
std::array<bool, kDriveConstants> well_observed(const DriveCalibration& result) {
  const std::array<double, kDriveConstants> good_enough{0.02 * std::abs(result.found[kLeftPerTick]),
                                                        0.02 * std::abs(result.found[kRightPerTick]),
                                                        0.05 * std::abs(result.found[kTrackWidth]),
                                                        0.015,
                                                        0.015,
                                                        1.0 * kDegree,
                                                        0.02};
  std::array<bool, kDriveConstants> observed{};
  for (int c = 0; c < kDriveConstants; ++c) {
    const auto k = static_cast<std::size_t>(c);
    observed[k] = result.sd(static_cast<DriveConstant>(c)) < good_enough[k];
  }
  return observed;
}

}  // namespace

double DriveCalibration::sd(DriveConstant c) const { return std::sqrt(covariance(c, c)); }

double DriveCalibration::half_width(DriveConstant c) const { return student_t_two_sided(0.95, degrees) * sd(c); }

DriveCalibration calibrate_drive(const Drive& drive, const ScanIncrements& increments,
                                 const DriveCalibrationOptions& options) {
  const TickClock ticks(drive.wheels);
  const std::vector<ScanIncrement> steps = usable_steps(drive, ticks, increments, options.widest_offset_s);
  if (static_cast<int>(steps.size()) < kFewestIncrements) {
    throw PoorData("the scans say of " + std::to_string(steps.size()) +
                   " stretches only how the lidar moved; drive for a minute through rooms with walls in view");
  }
  const DriveVector start = linear_fit(steps, ticks, *drive.robot.drive, options.widest_offset_s);
  const DriveAdjustment adjusted = adjust_drive(steps, ticks, odometry_noise(drive.robot), start);

  DriveCalibration result;
  result.found = adjusted.found;
  result.found[kLidarHeading] = wrap_angle(adjusted.found[kLidarHeading]);
  result.covariance = adjusted.covariance;
  result.degrees = adjusted.blocks - 1.0;
  result.increments = static_cast<int>(steps.size());
  describe(steps, ticks, adjusted.found, result);
  add_what_one_number_cannot_say(adjusted.found[kTrackWidth], steps.back().end_s - steps.front().begin_s,
                                 result.covariance);
  result.observed = well_observed(result);
  DriveVector lengths = adjusted.found;  // what grows with the lidar's metre
  lengths.tail<2>().setZero();
  result.covariance += options.range_scale_sd * options.range_scale_sd * lengths * lengths.transpose();
  return result;
}

}  // namespace wainscot
