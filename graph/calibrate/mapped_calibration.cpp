#include "graph/calibrate/mapped_calibration.hpp"

#include <array>
#include <cmath>
#include <cstddef>

#include "core/angles.hpp"
#include "graph/calibrate/calibrated_robot.hpp"
#include "graph/mapping/mapper.hpp"

namespace wainscot {
MappedCalibration refine_by_mapping(Drive drive, const DriveCalibration& found, int threads) {
  // Wide, so that it is the drive that speaks: what the increments said is a start, not a second witness: of a
  // hobby robot's wheels twice, of its width as much as constant_prior() takes to be usual.
  constexpr double kWheelSd = 0.02;
  constexpr double kWidthSd = 0.04;
  const double offset_before_s = drive.robot.lidar.time_offset_s;
  drive.robot = calibrated_robot(drive.robot, found);
  for (Scan& scan : drive.scans) scan.time_s += drive.robot.lidar.time_offset_s - offset_before_s;
  DriveConstants& wheels = *drive.robot.drive;
  wheels.left_sd_m_per_tick = kWheelSd * std::abs(wheels.left_m_per_tick);
  wheels.right_sd_m_per_tick = kWheelSd * std::abs(wheels.right_m_per_tick);
  wheels.track_width_sd_m = kWidthSd * wheels.track_width_m;
  MapperOptions mapper;
  mapper.threads = threads;
  const Map map = build_map(drive, mapper);

  MappedCalibration mapped;
  mapped.matched_fraction = map.quality.matched_fraction;
  mapped.trustworthy = map.quality.trustworthy();
  mapped.calibration = found;
  static constexpr std::array<const char*, kDriveConstants> kNames{
      "drive.left_m_per_tick", "drive.right_m_per_tick", "drive.track_width_m", "lidar.x_m", "lidar.y_m",
      "lidar.heading_deg",     "lidar.time_offset_s"};
  for (int c = 0; c < kDriveConstants; ++c) {
    for (const RefinedConstant& row : map.constants) {
      if (row.name != kNames[static_cast<std::size_t>(c)]) continue;
      const double unit = c == kLidarHeading ? kDegree : 1.0;
      mapped.calibration.found[c] = unit * row.found - (c == kClockOffset ? offset_before_s : 0.0);
      mapped.calibration.covariance.row(c).setZero();
      mapped.calibration.covariance.col(c).setZero();
      mapped.calibration.covariance(c, c) = unit * unit * row.found_sd * row.found_sd;
    }
  }
  return mapped;
}

DriveCalibration with_mounting_of(const MappedCalibration& mapped, const DriveCalibration& increments) {
  if (!mapped.trustworthy) return increments;
  constexpr double kContradict = 5.0;  // standard deviations: one of a million by chance
  DriveCalibration both = increments;
  for (const DriveConstant c : {kLidarX, kLidarY, kLidarHeading}) {
    double difference = mapped.calibration.found[c] - increments.found[c];
    if (c == kLidarHeading) difference = wrap_angle(difference);
    const double sd = std::hypot(mapped.calibration.sd(c), increments.sd(c));
    if (!increments.observed[static_cast<std::size_t>(c)] || std::abs(difference) > kContradict * sd) return increments;
    both.found[c] = mapped.calibration.found[c];
    both.covariance.row(c).setZero();
    both.covariance.col(c).setZero();
    both.covariance(c, c) = mapped.calibration.covariance(c, c);
  }
  return both;
}

}  // namespace wainscot
