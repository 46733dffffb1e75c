#include "graph/mapping/refined_constants.hpp"

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>

#include <Eigen/Dense>

#include "core/angles.hpp"
#include "core/odometry.hpp"
#include "graph/constants.hpp"

namespace wainscot {
namespace {

// One number for the whole house cannot be truer than this, however many returns it rests on (common practice, no
// source): where the two sides slip unequally, the point that the robot turns about moves sideways, which is the same
// as a lidar that sits elsewhere.
constexpr double kTurningCentreVaries = 0.012;  // of half the track width

double with_floor(double sd, double floor) { return std::sqrt(sd * sd + floor * floor); }

/// One row: `stated` and `change` in the unit of the file, `factor` from the unit of the adjustment.
RefinedConstant refined(const JointResult& adjusted, const ConstantMatrix& prior, Constant c, const char* name,
                        const char* unit, double stated, double factor) {
  RefinedConstant row;
  row.name = name;
  row.unit = unit;
  row.stated = stated;
  row.stated_sd = std::sqrt(prior(c, c)) * std::abs(factor);
  row.found = stated + adjusted.constants.change[c] * factor;
  row.found_sd = std::sqrt(adjusted.constant_covariance(c, c)) * std::abs(factor);
  row.observed = row.found_sd < 0.5 * row.stated_sd;
  return row;
}

/// Tick constants and track width from the correction's three terms: linear in small errors (see constant_prior()).
std::vector<RefinedConstant> wheel_constants(const DriveConstants& stated, const JointResult& adjusted,
                                             const ConstantMatrix& prior) {
  const double width = stated.track_width_m;
  // left error, right error, width error from (distance scale, turn scale, curvature)
  Eigen::Matrix3d by_terms;
  by_terms << 1.0, 0.0, -0.5 * width, 1.0, 0.0, 0.5 * width, 1.0, -1.0, 0.0;
  const Eigen::Vector3d change = by_terms * adjusted.constants.change.segment<3>(kDistanceScale);
  const Eigen::Matrix3d before = by_terms * prior.block<3, 3>(kDistanceScale, kDistanceScale) * by_terms.transpose();
  Eigen::Matrix3d after = adjusted.constant_covariance.block<3, 3>(kDistanceScale, kDistanceScale);
  after(1, 1) += adjusted.lasting_turn_variance;
  after = by_terms * after * by_terms.transpose();
  const std::array<const char*, 3> names{"drive.left_m_per_tick", "drive.right_m_per_tick", "drive.track_width_m"};
  const std::array<const char*, 3> units{"m/tick", "m/tick", "m"};
  const std::array<double, 3> values{stated.left_m_per_tick, stated.right_m_per_tick, width};
  std::vector<RefinedConstant> rows;
  for (int i = 0; i < 3; ++i) {
    const auto k = static_cast<std::size_t>(i);
    RefinedConstant row;
    row.name = names[k];
    row.unit = units[k];
    row.stated = values[k];
    row.stated_sd = std::sqrt(before(i, i)) * std::abs(values[k]);
    row.found = values[k] * (1.0 + change[i]);
    row.found_sd = std::sqrt(after(i, i)) * std::abs(values[k]);
    row.observed = row.found_sd < 0.5 * row.stated_sd;
    rows.push_back(row);
  }
  return rows;
}

}  // namespace

std::vector<RefinedConstant> refined_constants(const Drive& drive, const JointResult& adjusted) {
  const ConstantMatrix prior = constant_prior(drive);
  const LidarConstants& lidar = drive.robot.lidar;
  std::vector<RefinedConstant> rows;
  const auto add = [&](Constant c, const char* name, const char* unit, double stated, double factor) {
    rows.push_back(refined(adjusted, prior, c, name, unit, stated, factor));
  };
  add(kMountingX, "lidar.x_m", "m", lidar.x_m, 1.0);
  add(kMountingY, "lidar.y_m", "m", lidar.y_m, 1.0);
  rows.back().found_sd = with_floor(rows.back().found_sd, kTurningCentreVaries * 0.5 * track_width_m(drive.robot));
  add(kMountingHeading, "lidar.heading_deg", "deg", lidar.heading_deg, 1.0 / kDegree);
  add(kRangeScale, "lidar.range_scale", "1", lidar.range_scale, lidar.range_scale);
  add(kRangeOffset, "lidar.range_offset_m", "m", lidar.range_offset_m, 1.0);
  if (lidar.sweep_s && *lidar.sweep_s > 0.0) add(kSweepScale, "lidar.sweep_s", "s", *lidar.sweep_s, *lidar.sweep_s);
  add(kTimeOffset, "lidar.time_offset_s", "s", lidar.time_offset_s, 1.0);
  add(kClockRate, "lidar.clock_rate", "1", lidar.clock_rate, 1.0);
  if (drive.robot.drive && !drive.wheels.empty()) {
    for (RefinedConstant& row : wheel_constants(*drive.robot.drive, adjusted, prior)) rows.push_back(row);
  } else {
    // robot.yaml has no key for these: the robot integrates its odometry itself.
    add(kDistanceScale, "odometry's way, true / recorded", "1", 1.0, 1.0);
    add(kTurnScale, "odometry's turns, true / recorded", "1", 1.0, 1.0);
  }
  add(kSlipInTurns, "slip in turns", "1", 0.0, 1.0);
  if (const std::optional<double> bias = gyro_bias_rad_s(drive)) {
    add(kGyroBias, "gyro.bias_rad_s", "rad/s", drive.robot.gyro.bias_rad_s, 1.0);
    // The adjustment's correction acts on what is left once the bias of the whole drive is taken off.
    const double off = *bias * (1.0 + adjusted.constants.change[kGyroScale]);
    rows.back().found += off - drive.robot.gyro.bias_rad_s;
    add(kGyroScale, "gyro.scale", "1", drive.robot.gyro.scale, drive.robot.gyro.scale);
  }
  return rows;
}

}  // namespace wainscot
