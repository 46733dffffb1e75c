#include "graph/check/scale_diagnosis.hpp"

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/odometry.hpp"

namespace wainscot {
namespace {

void add_constants(const Explanation& best, const RobotFit& fit, Diagnosis& diagnosis) {
  const DriveConstants& drive = *diagnosis.mended.drive;
  const Eigen::Vector3d sd = fit.scale_covariance.diagonal().cwiseSqrt();
  const double l = std::abs(best.swapped ? fit.right_m_per_tick : fit.left_m_per_tick);
  const double r = std::abs(best.swapped ? fit.left_m_per_tick : fit.right_m_per_tick);
  const auto like = [](double value, double sign) { return sign < 0.0 ? -value : value; };
  diagnosis.constants.push_back(
      {"drive.left_m_per_tick", "m", drive.left_m_per_tick, like(l, drive.left_m_per_tick), sd(0) * l});
  diagnosis.constants.push_back(
      {"drive.right_m_per_tick", "m", drive.right_m_per_tick, like(r, drive.right_m_per_tick), sd(1) * r});
  diagnosis.constants.push_back(
      {"drive.track_width_m", "m", drive.track_width_m, fit.track_width_m, sd(2) * fit.track_width_m});
}

/// A power of ten is another unit, anything else a scale.
void add_range_factor(double factor, double sure, Diagnosis& diagnosis) {
  LidarConstants& lidar = diagnosis.mended.lidar;
  const double tens = std::round(std::log10(factor));
  const std::string figure = sentence("ranges are %.4f of the way that the wheels say", 1.0 / factor);
  if (tens != 0.0 && std::abs(std::log10(factor) - tens) < 0.05) {
    lidar.range_unit_m *= std::pow(10.0, tens);
    diagnosis.add(Fault::range_unit, "ranges are logged in another unit", figure, sure, {"lidar.range_unit_m"});
    return;
  }
  lidar.range_scale *= factor;
  diagnosis.add(Fault::range_scale, "ranges and wheels do not agree by a factor", figure, sure, {"lidar.range_scale"},
                "or all three wheel constants are off by that factor: measure one long wall with a tape");
}

/// No line of robot.yaml mends these.
void add_odometry_factors(const Explanation& best, bool width_off, double sure, Diagnosis& diagnosis) {
  if (best.scale != ScaleFault::width) {
    const double factor = std::abs(best.left_m_per_tick);
    diagnosis.add(Fault::both_ticks, "odometry.csv's way is off by a factor",
                  sentence("it has to be %.4f of itself", factor), sure, {},
                  "mend the constant in the program that writes odometry.csv");
  }
  if (width_off) {
    diagnosis.add(Fault::track_width, "odometry.csv's turns are off by a factor",
                  sentence("they have to be %.4f of themselves", track_width_m(diagnosis.mended) / best.track_width_m),
                  sure, {}, "mend the track width in the program that writes odometry.csv");
  }
}

/// In the order of RobotFit::scale_covariance.
enum WheelConstant : std::size_t { kLeft, kRight, kWidth };

struct WheelConstantKeys {
  double DriveConstants::*value = nullptr;
  std::optional<double> DriveConstants::*sd = nullptr;
  double Explanation::*explained = nullptr;
  const char* key = "";
  const char* sd_key = "";
};

const WheelConstantKeys& keys_of(WheelConstant constant) {
  using D = DriveConstants;
  using E = Explanation;
  static constexpr std::array<WheelConstantKeys, 3> kAll{{
      {&D::left_m_per_tick, &D::left_sd_m_per_tick, &E::left_m_per_tick, "drive.left_m_per_tick",
       "drive.left_sd_m_per_tick"},
      {&D::right_m_per_tick, &D::right_sd_m_per_tick, &E::right_m_per_tick, "drive.right_m_per_tick",
       "drive.right_sd_m_per_tick"},
      {&D::track_width_m, &D::track_width_sd_m, &E::track_width_m, "drive.track_width_m", "drive.track_width_sd_m"},
  }};
  return kAll.at(constant);
}

/// Mends the constants and returns the keys of the lines. A number that was replaced is not as sure any more as the
/// file says of the old one: where it says so, that line is to be mended as well. The new one is as sure as the fit and
/// the lidar's own metre, which the fit's lengths are in.
std::vector<std::string> mend_constants(const std::vector<WheelConstant>& constants, const Explanation& best,
                                        const RobotFit& fit, DriveConstants& drive) {
  std::vector<std::string> lines;
  std::vector<std::string> sd_lines;
  for (const WheelConstant constant : constants) {
    const WheelConstantKeys& keys = keys_of(constant);
    drive.*keys.value = best.*keys.explained;
    lines.emplace_back(keys.key);
    if (!(drive.*keys.sd)) continue;
    const bool exchanged = best.swapped && constant != kWidth;
    const std::size_t of_fit = exchanged ? kLeft + kRight - constant : constant;
    const auto k = static_cast<Eigen::Index>(of_fit);
    const double relative = std::hypot(StatedSd{}.ranges, std::sqrt(fit.scale_covariance(k, k)));
    drive.*keys.sd = relative * std::abs(drive.*keys.value);
    sd_lines.emplace_back(keys.sd_key);
  }
  lines.insert(lines.end(), sd_lines.begin(), sd_lines.end());
  return lines;
}

void add_wheel_factors(const Explanation& best, const RobotFit& fit, bool width_off, double sure,
                       Diagnosis& diagnosis) {
  using enum ScaleFault;
  DriveConstants& drive = *diagnosis.mended.drive;
  const auto change = [&](Fault fault, const char* what, WheelConstant constant) {
    const double before = drive.*keys_of(constant).value;
    const std::vector<std::string> lines = mend_constants({constant}, best, fit, drive);
    const double factor = drive.*keys_of(constant).value / before;
    diagnosis.add(fault, what, sentence("it is %.4f of what robot.yaml says", factor), sure, lines);
  };
  if (best.scale == ticks || best.scale == ticks_and_width) {
    const double factor = best.left_m_per_tick / drive.left_m_per_tick;
    const std::vector<std::string> lines = mend_constants({kLeft, kRight}, best, fit, drive);
    diagnosis.add(Fault::both_ticks, "both tick constants are off by one factor",
                  sentence("they are %.4f of what robot.yaml says", std::abs(factor)), sure, lines,
                  "look at the wheels' diameter and the counts of one turn");
  }
  if (best.scale == left || best.scale == left_and_width || best.scale == all) {
    change(Fault::left_tick, "the left tick constant is off", kLeft);
  }
  if (best.scale == right || best.scale == right_and_width || best.scale == all) {
    change(Fault::right_tick, "the right tick constant is off", kRight);
  }
  if (width_off) change(Fault::track_width, "the track width is off", kWidth);
}

}  // namespace

Diagnosis scale_diagnosis(const Explanation& best, const RobotFit& fit, const Drive& drive) {
  using enum ScaleFault;
  Diagnosis diagnosis{drive.robot, {}, {}, {}};
  const bool wheels = !drive.wheels.empty();
  if (wheels) add_constants(best, fit, diagnosis);
  const double sure = confidence_of(best.scale_chi_squared, 3);
  const bool width_off = best.scale == width || best.scale == left_and_width || best.scale == right_and_width ||
                         best.scale == ticks_and_width || best.scale == all;
  if (best.scale == none) return diagnosis;
  if (best.scale == ranges) {
    add_range_factor(best.range_factor, sure, diagnosis);
  } else if (wheels) {
    add_wheel_factors(best, fit, width_off, sure, diagnosis);
  } else {
    add_odometry_factors(best, width_off, sure, diagnosis);
  }
  return diagnosis;
}

}  // namespace wainscot
