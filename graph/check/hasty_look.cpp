#include "graph/check/hasty_look.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>

#include "core/odometry.hpp"
#include "graph/check/clock_diagnosis.hpp"
#include "graph/check/explanation.hpp"
#include "graph/check/gyro_agreement.hpp"
#include "graph/check/gyro_diagnosis.hpp"
#include "graph/check/time_units.hpp"
#include "graph/motion/clock_fit.hpp"
#include "graph/motion/robot_fit.hpp"
#include "graph/motion/sampled_strides.hpp"
#include "graph/motion/wheel_series.hpp"
#include "graph/usable_scans.hpp"

namespace wainscot {

namespace {

/// About a twentieth of the work of the mapping, which matches nearly every scan too, with all beams and several times.
SampleOptions hasty(const Drive& drive, int threads) {
  constexpr double kSeldomS = 0.3;  // then many scans have to be searched for, which takes thirty times as long
  const std::size_t scans = drive.scans.size();
  const double span_s = scans < 2 ? 0.0 : drive.scans.back().time_s - drive.scans.front().time_s;
  const bool seldom = span_s > kSeldomS * static_cast<double>(scans);
  SampleOptions options;
  // A quarter of those of a short drive; of fewer than 60 some sound drives look odd.
  options.most_scans = seldom ? std::clamp<std::size_t>(scans / 4, 60, 96) : std::max<std::size_t>(320, scans / 12);
  options.most_beams = 180;
  options.corrections = drive.robot.lidar.sweep_s == 0.0 ? 0 : 1;
  options.threads = threads;
  return options;
}

}  // namespace

bool holds_returns(const Drive& drive) {
  std::size_t good = 0;
  for (const Scan& scan : drive.scans) {
    std::size_t within = 0;
    for (const Return& beam : scan.returns) {
      if (static_cast<double>(beam.range_m) < drive.robot.lidar.max_range_m && ++within == kFewestUsableReturns) break;
    }
    good += within >= kFewestUsableReturns ? 1 : 0;
  }
  return 2 * good > drive.scans.size();
}

bool looks_sound(const Drive& drive, int threads) {
  if (!holds_returns(drive) || !time_units(drive).are_seconds()) return false;
  constexpr std::size_t kFewRestarts = 1;  // more are counters that wrap
  if (!drive.wheels.empty() && drive.robot.drive->counter_bits != 16 && drive.breaks.size() > kFewRestarts)
    return false;
  const SampledStrides sampled = sampled_strides(drive, hasty(drive, threads));
  const WheelSeries wheels(drive);
  const ClockFit clock = fit_clock(sampled.steps, wheels);
  if (clock.steps == 0) return true;  // nothing that could be compared
  constexpr double kMostly = 0.5;     // of the lidar's turns, that the wheels explain
  if (clock.explained < kMostly) return false;
  if (std::abs(clock.offset_s) > 4.0 * std::hypot(clock.offset_sd_s, kStampSdS)) return false;
  const RobotFit fit = fit_robot(sampled.strides, wheels, clock, track_width_m(drive.robot));
  if (fit.strides == 0) return true;
  const std::optional<GyroAgreement> gyro = gyro_agreement(sampled.strides, drive, clock);
  if (gyro && !gyro_diagnosis(*gyro, drive.robot).findings.empty()) return false;
  const std::optional<bool> gyro_agrees = gyro ? std::optional(gyro->same_way()) : std::nullopt;
  return explanations(fit, drive, gyro_agrees).front().is_right_as_stated();
}

}  // namespace wainscot
