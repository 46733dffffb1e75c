#include "graph/check/hasty_look.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "core/odometry.hpp"
#include "graph/check/explanation.hpp"
#include "graph/check/gyro_agreement.hpp"
#include "graph/motion/clock_fit.hpp"
#include "graph/motion/robot_fit.hpp"
#include "graph/motion/sampled_strides.hpp"
#include "graph/motion/wheel_series.hpp"

namespace wainscot {

bool holds_returns(const Drive& drive) {
  constexpr std::size_t kFewest = 20;
  std::size_t good = 0;
  for (const Scan& scan : drive.scans) {
    std::size_t within = 0;
    for (const Return& beam : scan.returns) {
      if (static_cast<double>(beam.range_m) < drive.robot.lidar.max_range_m && ++within == kFewest) break;
    }
    good += within >= kFewest ? 1 : 0;
  }
  return 2 * good > drive.scans.size();
}

bool looks_sound(const Drive& drive, int threads) {
  if (!holds_returns(drive)) return false;
  constexpr std::size_t kFewRestarts = 1;  // more are counters that wrap
  if (!drive.wheels.empty() && drive.robot.drive->counter_bits != 16 && drive.breaks.size() > kFewRestarts)
    return false;
  SampleOptions hasty;
  // A tenth of what the mapping will take: it too matches about so many scans, with all beams and several times.
  hasty.most_scans = std::max<std::size_t>(320, drive.scans.size() / 12);
  hasty.most_beams = 180;
  hasty.corrections = 1;
  hasty.threads = threads;
  const SampledStrides sampled = sampled_strides(drive, hasty);
  const WheelSeries wheels(drive);
  const ClockFit clock = fit_clock(sampled.steps, wheels);
  if (clock.steps == 0) return true;  // nothing that could be compared
  constexpr double kMostly = 0.5;     // of the lidar's turns, that the wheels explain
  constexpr double kStampSdS = 0.03;  // as a check has it
  if (clock.explained < kMostly) return false;
  if (std::abs(clock.offset_s) > 4.0 * std::hypot(clock.offset_sd_s, kStampSdS)) return false;
  const RobotFit fit = fit_robot(sampled.strides, wheels, clock, track_width_m(drive.robot));
  if (fit.strides == 0) return true;
  return explanations(fit, drive, gyro_agreement(sampled.strides, drive, clock)).front().is_right_as_stated();
}

}  // namespace wainscot
