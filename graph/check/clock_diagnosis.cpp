#include "graph/check/clock_diagnosis.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "core/chi_squared.hpp"
#include "graph/check/clock_chance.hpp"
#include "graph/check/explanation.hpp"
#include "graph/check/sight_diagnosis.hpp"
#include "graph/constants.hpp"

namespace wainscot {
namespace {

/// The chance that is allowed for: that the turns of a drive look as if its clocks were off though they tell nothing.
constexpr double kTold = 0.999;

/// Whether the turns tell the clock.
bool is_told(const ClockChance& chance) { return confidence_of(chance.chi_squared_elsewhere, 2) > kTold; }

/// How sure a drift is; 0 where it is no fault. A fit that is free to drift always does, and the further it may, the
/// more often by chance: all drifts nearer than the one found were looks at these errors, too.
double sure_of_drift(const ClockFit& fit, const std::vector<LidarStride>& steps, const WheelSeries& wheels,
                     double prior_sd) {
  const double z = fit.drift / std::hypot(fit.drift_sd, prior_sd);
  if (z * z <= fault_gate(1)) return 0.0;
  const double looks = std::max(1.0, std::abs(fit.drift) / fit.drift_sd);
  const double by_chance = looks * (1.0 - chi_squared_probability(drift_chi_squared(steps, wheels, fit), 1));
  return std::min(confidence_of(z * z, 1), 1.0 - by_chance);
}

void judge_clocks(const ClockFit& fit, const ClockChance& chance, const std::vector<LidarStride>& steps,
                  const Drive& drive, double first_scan_s, Diagnosis& diagnosis) {
  const double drift_prior = std::sqrt(constant_prior(drive)(kClockRate, kClockRate));
  const double z_offset = fit.offset_s / std::hypot(fit.offset_sd_s, kStampSdS);
  const double earned = std::min(confidence_of(chance.chi_squared_elsewhere, 2),  // offset and drift
                                 confidence_of(chance.chi_squared_stated, 2));
  LidarConstants& lidar = diagnosis.mended.lidar;
  diagnosis.constants.push_back(
      {"lidar.time_offset_s", "s", lidar.time_offset_s, lidar.time_offset_s + fit.offset_s, fit.offset_sd_s});
  if (earned < kTold) return;
  const std::string figure = sentence(
      "turns agree best when the lidar's times are moved by %.3f s (standard uncertainty %.3f s), growing by "
      "%.0f ms a minute; then the wheels explain %.1f %% of the lidar's turns",
      fit.offset_s, fit.offset_sd_s, 6e4 * fit.drift, 100.0 * fit.explained);
  const double sure = sure_of_drift(fit, steps, WheelSeries(drive), drift_prior);
  if (sure > kTold) {
    lidar.clock_rate *= 1.0 + fit.drift;
    lidar.time_offset_s += fit.wheel_time_s(first_scan_s) - first_scan_s;
    diagnosis.add(Fault::clock_drift, "the lidar's clock runs at another rate than the wheels'", figure,
                  std::min(earned, sure), {"lidar.clock_rate", "lidar.time_offset_s"},
                  "better still, stamp both by the robot computer's one clock");
  } else if (z_offset * z_offset > fault_gate(1)) {
    lidar.time_offset_s += fit.offset_s;
    diagnosis.add(Fault::clock_offset, "the lidar's times are off against the wheels'", figure,
                  std::min(earned, confidence_of(z_offset * z_offset, 1)), {"lidar.time_offset_s"});
  }
}

}  // namespace

std::vector<ClockFit> other_clocks(const ClockFit& found) {
  std::vector<ClockFit> clocks;
  for (const double off_s : {-2.0 * kStampSdS, 2.0 * kStampSdS}) {
    clocks.push_back(found);
    clocks.back().offset_s += off_s;
  }
  if (found.offset_s * found.offset_s > fault_gate(1) * kStampSdS * kStampSdS) return clocks;
  clocks.push_back(found);
  clocks.back().offset_s = clocks.back().drift = 0.0;
  return clocks;
}

ClockDiagnosis clock_diagnosis(const ClockFit& fit, const LidarMotion& motion, const Drive& drive, bool counts,
                               double first_scan_s) {
  // Chosen by hand: with less turning than a radian, or by fewer than three turns that count (1 / share of squares),
  // any clock fits; and wheels that explain less than half of the turning leave the rest to slip. Half of each names
  // clocks by chance, twice as much is silent on short drives.
  constexpr double kLittleRad = 1.0;
  constexpr double kFewTurns = 3.0;
  constexpr double kMostly = 0.5;
  constexpr double kNearS = 0.3;  // an offset so small leaves the strides in place, whether it is told or not
  ClockDiagnosis found{{drive.robot, {}, {}, {}}, false, fit};
  Diagnosis& diagnosis = found.diagnosis;
  const ClockChance chance = fit.steps > 0 ? clock_chance(motion.steps, WheelSeries(drive), fit) : ClockChance{};
  if (chance.turned_rad < kLittleRad) {
    diagnosis.notes.emplace_back(
        "The robot hardly turned, or too few scans fit one another: wheels and scans could not be compared; drive a "
        "square, or through a room and back");
    return found;
  }
  if (!counts) return found;
  const bool told = is_told(chance);
  if (!told && (std::abs(fit.offset_s) > kNearS || fit.explained < kMostly)) {
    found.clock.offset_s = 0.0;
    found.clock.drift = 0.0;
    found.clock.explained = chance.as_stated;
  }
  // Where so many steps cannot be trusted, some that look sure are wrong: then nothing is known of the wheels.
  const auto sure =
      std::count_if(motion.steps.begin(), motion.steps.end(), [](const LidarStride& s) { return s.sure; });
  const bool trusted = static_cast<double>(sure) >= kMostHold * static_cast<double>(motion.steps.size());
  if (trusted && found.clock.explained < kMostly && chance.turns >= kFewTurns && fit.explained < kMostly) {
    diagnosis.add(
        Fault::unrelated, "wheels and scans tell of different motions",
        sentence("of the lidar's turns the wheels explain %.0f %% at any shift up to 15 s", 100.0 * fit.explained),
        0.99, {},
        "look whether both files are of one drive and one clock, whether both counters count (turn each wheel "
        "by hand) and whether the wheels stand on the floor");
    return found;
  }
  found.related = found.clock.explained >= kMostly;
  if (told) {
    judge_clocks(fit, chance, motion.steps, drive, first_scan_s, diagnosis);
  } else {
    diagnosis.notes.push_back(
        sentence("The drive's turns, %.1f that are independent of each other, do not tell the offset of the lidar's "
                 "clock: other "
                 "offsets explain %.0f %% of them, the best one %.0f %%; %s",
                 chance.turns, 100.0 * chance.elsewhere, 100.0 * chance.explained,
                 found.related ? "drive more turns if the clocks may be off"
                               : "wheels and scans could not be compared; drive more turns"));
  }
  return found;
}

}  // namespace wainscot
