#include "graph/check/explanation.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "core/odometry.hpp"
#include "graph/constants.hpp"

namespace wainscot {
namespace {

/// One of the four readings of a fit.
struct Reading {
  bool mirrored = false;
  bool swapped = false;
  double left = 0.0;
  double right = 0.0;
  Pose2 mounting;
};

std::vector<Reading> readings(const RobotFit& fit) {
  const double l = fit.left_m_per_tick;
  const double r = fit.right_m_per_tick;
  const Pose2& m = fit.mounting;
  constexpr double half_turn = std::numbers::pi;
  return {{false, false, l, r, m},
          {true, true, r, l, {m.x_m, -m.y_m, -m.heading_rad}},                // seen in a mirror
          {true, false, -l, -r, {-m.x_m, m.y_m, half_turn - m.heading_rad}},  // and its back taken for its front
          {false, true, -r, -l, {-m.x_m, -m.y_m, half_turn + m.heading_rad}}};
}

struct ScaleOption {
  ScaleFault fault;
  double faults;
  std::vector<Eigen::Vector3d> free;
};

std::vector<ScaleOption> scale_options(bool has_wheels) {
  const Eigen::Vector3d left(1, 0, 0);
  const Eigen::Vector3d right(0, 1, 0);
  const Eigen::Vector3d width(0, 0, 1);
  const Eigen::Vector3d ticks(1, 1, 0);
  const Eigen::Vector3d ranges(1, 1, 1);
  std::vector<ScaleOption> options = {{ScaleFault::none, 0.0, {}},
                                      {ScaleFault::width, 1.0, {width}},
                                      {ScaleFault::ticks, 1.0, {ticks}},
                                      {ScaleFault::ranges, 1.0, {ranges}},
                                      {ScaleFault::ticks_and_width, 2.0, {ticks, width}}};
  if (has_wheels) {
    options.insert(options.begin() + 1, {{ScaleFault::left, 1.0, {left}}, {ScaleFault::right, 1.0, {right}}});
    options.push_back({ScaleFault::left_and_width, 2.0, {left, width}});
    options.push_back({ScaleFault::right_and_width, 2.0, {right, width}});
  }
  options.push_back({ScaleFault::all, 3.0, {left, right, width}});
  return options;
}

double chi_squared_left(const Eigen::Vector3d& deviation, Eigen::Matrix3d covariance, const ScaleOption& option) {
  constexpr double kFree = 1e4;  // of a logarithm: any factor
  for (const Eigen::Vector3d& direction : option.free) covariance += kFree * direction * direction.transpose();
  return deviation.dot(covariance.ldlt().solve(deviation));
}

/// Compares the lengths of a reading with those stated; returns how many faults.
double judge_scales(const RobotFit& fit, const Reading& reading, const DriveConstants& stated, const StatedSd& sd,
                    bool has_wheels, Explanation& e) {
  const Eigen::Vector3d deviation(std::log(std::abs(reading.left / stated.left_m_per_tick)),
                                  std::log(std::abs(reading.right / stated.right_m_per_tick)),
                                  std::log(fit.track_width_m / stated.track_width_m));
  Eigen::Matrix3d covariance = fit.scale_covariance;
  if (reading.swapped) {
    const Eigen::PermutationMatrix<3> exchange(Eigen::Vector3i(1, 0, 2));
    covariance = exchange * covariance * exchange.transpose();
  }
  covariance += Eigen::Matrix3d(sd.scales.cwiseAbs2().asDiagonal()) + sd.ranges * sd.ranges * Eigen::Matrix3d::Ones();
  const std::vector<ScaleOption> options = scale_options(has_wheels);
  e.scale_chi_squared = chi_squared_left(deviation, covariance, options.front());
  const ScaleOption* best = &options.back();
  double best_chi = 0.0;
  for (const ScaleOption& option : options) {
    const int degrees = 3 - static_cast<int>(option.free.size());
    const double chi = chi_squared_left(deviation, covariance, option);
    if (degrees > 0 && chi > fault_gate(degrees)) continue;
    if (option.faults > best->faults || (option.faults == best->faults && chi >= best_chi)) continue;
    best = &option;
    best_chi = chi;
  }
  e.scale = best->fault;
  const auto is = [&](std::initializer_list<ScaleFault> faults) {
    return std::find(faults.begin(), faults.end(), e.scale) != faults.end();
  };
  using enum ScaleFault;
  const double common = 0.5 * (deviation(0) + deviation(1));
  const auto sign = [](double value) { return value < 0.0 ? -1.0 : 1.0; };
  const double left_log = is({left, left_and_width, all}) ? deviation(0) : is({ticks, ticks_and_width}) ? common : 0.0;
  const double right_log = is({right, right_and_width, all}) ? deviation(1)
                           : is({ticks, ticks_and_width})    ? common
                                                             : 0.0;
  const double width_log = is({width, left_and_width, right_and_width, ticks_and_width, all}) ? deviation(2) : 0.0;
  e.left_m_per_tick = sign(reading.left) * std::abs(stated.left_m_per_tick) * std::exp(left_log);
  e.right_m_per_tick = sign(reading.right) * std::abs(stated.right_m_per_tick) * std::exp(right_log);
  e.track_width_m = stated.track_width_m * std::exp(width_log);
  if (e.scale == ranges) e.range_factor = std::exp(-deviation.mean());
  return best->faults;
}

double judge_mounting(const RobotFit& fit, const Reading& reading, const LidarConstants& stated, const StatedSd& sd,
                      Explanation& e) {
  e.mounting = reading.mounting;
  e.mounting.heading_rad = wrap_angle(e.mounting.heading_rad);
  e.turned_rad = wrap_angle(reading.mounting.heading_rad - stated.heading_deg * std::numbers::pi / 180.0);
  e.turned_sd_rad = std::sqrt(fit.mounting_covariance(2, 2) + sd.mounting_rad * sd.mounting_rad);
  e.turned = e.turned_rad * e.turned_rad > fault_gate(1) * e.turned_sd_rad * e.turned_sd_rad;
  const Eigen::Vector2d moved = reading.mounting.translation() - Eigen::Vector2d(stated.x_m, stated.y_m);
  const Eigen::Matrix2d covariance = fit.mounting_covariance.topLeftCorner<2, 2>() +
                                     sd.mounting_m * sd.mounting_m * Eigen::Matrix2d(Eigen::Matrix2d::Identity());
  e.displaced_m = moved.norm();
  e.displaced_chi_squared = moved.dot(covariance.ldlt().solve(moved));
  e.displaced = e.displaced_chi_squared > fault_gate(2);
  return (e.turned ? 1.0 : 0.0) + (e.displaced ? 1.0 : 0.0);
}

double judge_signs(const Reading& reading, const DriveConstants& stated, std::optional<bool> gyro_agrees,
                   Explanation& e) {
  constexpr double kBothBackwards = 1.5;  // two wires changed alike, or front taken for back
  constexpr double kAgainstGyro = 1.0;    // the gyro's sign would be wrong, too
  e.mirrored = reading.mirrored;
  e.swapped = reading.swapped;
  e.left_backwards = reading.left * stated.left_m_per_tick < 0.0;
  e.right_backwards = reading.right * stated.right_m_per_tick < 0.0;
  double faults = (e.mirrored ? 1.0 : 0.0) + (e.swapped ? 1.0 : 0.0);
  if (e.left_backwards || e.right_backwards) faults += e.left_backwards && e.right_backwards ? kBothBackwards : 1.0;
  if (gyro_agrees && *gyro_agrees == e.mirrored) faults += kAgainstGyro;
  return faults;
}

/// For odometry.csv: the wheels that WheelSeries makes of it.
DriveConstants stated_constants(const Drive& drive) {
  if (!drive.wheels.empty()) return *drive.robot.drive;
  DriveConstants constants;
  constants.left_m_per_tick = constants.right_m_per_tick = 1.0;
  constants.track_width_m = track_width_m(drive.robot);
  return constants;
}

}  // namespace

double fault_gate(int degrees) {
  constexpr double kOnceIn = 6.334e-5;  // beyond four standard deviations of a normal error, both sides
  return chi_squared_quantile(1.0 - kOnceIn, degrees);
}

StatedSd stated_sd(const Drive& drive) {
  // Floors differ: what a house does to the width is no fault of robot.yaml's.
  constexpr double kFloors = 0.02;
  constexpr double kTicksUnstated = 0.01;
  constexpr double kWidthUnstated = 0.04;
  StatedSd sd;
  const ConstantMatrix prior = constant_prior(drive);
  sd.ranges = std::sqrt(prior(kRangeScale, kRangeScale));
  sd.mounting_m = std::sqrt(prior(kMountingX, kMountingX));
  sd.mounting_rad = std::sqrt(prior(kMountingHeading, kMountingHeading));
  sd.scales << kTicksUnstated, kTicksUnstated, std::hypot(kWidthUnstated, kFloors);
  if (!drive.wheels.empty()) {
    const DriveConstants& d = *drive.robot.drive;
    if (d.left_sd_m_per_tick) sd.scales(0) = *d.left_sd_m_per_tick / std::abs(d.left_m_per_tick);
    if (d.right_sd_m_per_tick) sd.scales(1) = *d.right_sd_m_per_tick / std::abs(d.right_m_per_tick);
    if (d.track_width_sd_m) sd.scales(2) = std::hypot(*d.track_width_sd_m / d.track_width_m, kFloors);
  }
  return sd;
}

std::vector<Explanation> explanations(const RobotFit& fit, const Drive& drive, std::optional<bool> gyro_agrees) {
  const DriveConstants stated = stated_constants(drive);
  const StatedSd sd = stated_sd(drive);
  std::vector<Explanation> result;
  for (const Reading& reading : readings(fit)) {
    Explanation e;
    e.faults = judge_signs(reading, stated, gyro_agrees, e);
    // Turns on the spot say how far the lidar is from the middle, and not in which direction.
    if (fit.drove) e.faults += judge_mounting(fit, reading, drive.robot.lidar, sd, e);
    e.faults += judge_scales(fit, reading, stated, sd, !drive.wheels.empty(), e);
    result.push_back(e);
  }
  // Of equals a mirrored lidar comes first: many count clockwise.
  std::stable_sort(result.begin(), result.end(), [](const Explanation& a, const Explanation& b) {
    return a.faults != b.faults ? a.faults < b.faults : a.swapped < b.swapped;
  });
  return result;
}

}  // namespace wainscot
