#include "graph/check/clock_diagnosis.hpp"

#include <cmath>
#include <string>

#include "graph/check/explanation.hpp"
#include "graph/constants.hpp"

namespace wainscot {
namespace {

void judge_clocks(const ClockFit& fit, const Drive& drive, double first_scan_s, Diagnosis& diagnosis) {
  constexpr double kStampSdS = 0.03;  // half a turn of a slow lidar, a busy computer
  const double drift_prior = std::sqrt(constant_prior(drive)(kClockRate, kClockRate));
  const double z_drift = fit.drift / std::hypot(fit.drift_sd, drift_prior);
  const double z_offset = fit.offset_s / std::hypot(fit.offset_sd_s, kStampSdS);
  LidarConstants& lidar = diagnosis.mended.lidar;
  diagnosis.constants.push_back(
      {"lidar.time_offset_s", "s", lidar.time_offset_s, lidar.time_offset_s + fit.offset_s, fit.offset_sd_s});
  const std::string figure = sentence(
      "turns agree best when the lidar's times are moved by %.3f s (standard uncertainty %.3f s), growing by "
      "%.0f ms a minute; then the wheels explain %.1f %% of the lidar's turns",
      fit.offset_s, fit.offset_sd_s, 6e4 * fit.drift, 100.0 * fit.explained);
  if (z_drift * z_drift > fault_gate(1)) {
    lidar.clock_rate *= 1.0 + fit.drift;
    lidar.time_offset_s += fit.wheel_time_s(first_scan_s) - first_scan_s;
    diagnosis.add(Fault::clock_drift, "the lidar's clock runs at another rate than the wheels'", figure,
                  confidence_of(z_drift * z_drift, 1), {"lidar.clock_rate", "lidar.time_offset_s"},
                  "better still, stamp both by the robot computer's one clock");
  } else if (z_offset * z_offset > fault_gate(1)) {
    lidar.time_offset_s += fit.offset_s;
    diagnosis.add(Fault::clock_offset, "the lidar's times are off against the wheels'", figure,
                  confidence_of(z_offset * z_offset, 1), {"lidar.time_offset_s"});
  }
}

}  // namespace

ClockDiagnosis clock_diagnosis(const ClockFit& fit, const LidarMotion& motion, const Drive& drive, bool counts,
                               double first_scan_s) {
  constexpr double kLittleRad = 1.0;
  constexpr double kMostly = 0.5;
  ClockDiagnosis found{{drive.robot, {}, {}, {}}, false};
  Diagnosis& diagnosis = found.diagnosis;
  double turned = 0.0;
  for (const LidarStride& step : motion.steps) turned += step.sure ? std::abs(step.motion.heading_rad) : 0.0;
  if (fit.steps == 0 || turned < kLittleRad) {
    diagnosis.notes.emplace_back(
        "The robot hardly turned, or too few scans fit one another: wheels and scans could not be compared; drive a "
        "square, or through a room and back");
  } else if (counts && fit.explained < kMostly) {
    diagnosis.add(
        Fault::unrelated, "wheels and scans tell of different motions",
        sentence("of the lidar's turns the wheels explain %.0f %% at any shift up to 15 s", 100.0 * fit.explained),
        0.99, {},
        "look whether both files are of one drive and one clock, whether both counters count (turn each wheel "
        "by hand) and whether the wheels stand on the floor");
  } else if (counts) {
    found.related = true;
    judge_clocks(fit, drive, first_scan_s, diagnosis);
  }
  return found;
}

}  // namespace wainscot
