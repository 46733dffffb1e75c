#include "graph/check/sign_diagnosis.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

namespace wainscot {
namespace {

double confidence_in(const RobotFit& fit) {
  const double sd = std::sqrt(std::max(fit.scale_covariance(0, 0), fit.scale_covariance(1, 1)));
  return confidence_of(1.0 / (sd * sd), 1);
}

std::string against_the_wheels(const RobotFit& fit) {
  return sentence("the lidar turns against the wheels (%zu strides, %.1f turns in all)", fit.strides,
                  fit.turned_rad / (2.0 * std::numbers::pi));
}

/// Whether any other reading with as few faults cannot be told from the best one.
bool is_tie(const std::vector<Explanation>& all) {
  const Explanation& best = all.front();
  const auto rival = std::find_if(all.begin() + 1, all.end(), [&](const Explanation& e) {
    return e.faults < best.faults + 0.25 && e.mirrored != best.mirrored && !e.left_backwards == !best.left_backwards;
  });
  return rival != all.end() && (best.mirrored || best.swapped);
}

void add_mirrored(const RobotFit& fit, bool wheels, bool tie, double sure, Diagnosis& diagnosis) {
  diagnosis.mended.lidar.mirrored = !diagnosis.mended.lidar.mirrored;
  Finding& finding = diagnosis.add(Fault::mirrored, "the lidar's angles run the other way round",
                                   against_the_wheels(fit), sure, {"lidar.mirrored"});
  if (!tie) return;
  finding.or_else = Fault::swapped;
  finding.act = wheels ? "or the wheels' columns are exchanged: a lidar in the middle that looks ahead cannot tell. "
                         "Turn the left wheel forward by hand: if right_ticks counts, exchange left_ticks and "
                         "right_ticks in wheels.csv instead; or build both ways and look which map is your home "
                         "and which its mirror image"
                       : "or odometry.csv is mirrored (its headings run clockwise): then negate y_m and heading_rad "
                         "there instead; build both ways and look which map is your home";
}

void add_swapped(const RobotFit& fit, bool wheels, double sure, Diagnosis& diagnosis) {
  diagnosis.add(Fault::swapped, wheels ? "left and right wheel are exchanged" : "odometry.csv is mirrored",
                against_the_wheels(fit), sure, {},
                wheels
                    ? "exchange the headings left_ticks and right_ticks in wheels.csv, and the plugs for the next drive"
                    : "negate y_m and heading_rad in odometry.csv");
}

void add_backwards(const Explanation& best, const RobotFit& fit, bool wheels, double sure, Diagnosis& diagnosis) {
  const bool both = best.left_backwards && best.right_backwards;
  const Fault fault = both                  ? Fault::both_backwards
                      : best.left_backwards ? Fault::left_backwards
                                            : Fault::right_backwards;
  const char* which = both                  ? "both wheels count"
                      : best.left_backwards ? "the left wheel counts"
                                            : "the right wheel counts";
  std::vector<std::string> keys;
  if (diagnosis.mended.drive && wheels) {
    DriveConstants& drive = *diagnosis.mended.drive;
    if (best.left_backwards) drive.left_m_per_tick = -drive.left_m_per_tick;
    if (best.right_backwards) drive.right_m_per_tick = -drive.right_m_per_tick;
    if (best.left_backwards) keys.emplace_back("drive.left_m_per_tick");
    if (best.right_backwards) keys.emplace_back("drive.right_m_per_tick");
  }
  diagnosis.add(fault, std::string(which) + " the other way than robot.yaml says",
                sentence("found: left %.4g m a tick, right %.4g m a tick, %zu strides", fit.left_m_per_tick,
                         fit.right_m_per_tick, fit.strides),
                sure, keys, keys.empty() ? "negate what odometry.csv says of the way driven" : "");
}

}  // namespace

Diagnosis sign_diagnosis(const std::vector<Explanation>& all, const RobotFit& fit, std::optional<bool> gyro_agrees,
                         const Drive& drive) {
  Diagnosis diagnosis{drive.robot, {}, {}, {}};
  const Explanation& best = all.front();
  const bool wheels = !drive.wheels.empty();
  const bool tie = is_tie(all);
  const double sure = tie ? 0.5 : confidence_in(fit);
  if (best.mirrored) add_mirrored(fit, wheels, tie, sure, diagnosis);
  if (best.swapped) add_swapped(fit, wheels, sure, diagnosis);
  if (best.left_backwards || best.right_backwards) add_backwards(best, fit, wheels, sure, diagnosis);
  if (gyro_agrees && *gyro_agrees == best.mirrored) {
    diagnosis.mended.gyro.sign = -diagnosis.mended.gyro.sign;
    diagnosis.add(Fault::gyro_sign, "the gyro turns against wheels and lidar", "its turns have the other sign", sure,
                  {"gyro.sign"});
  }
  return diagnosis;
}

}  // namespace wainscot
