#include "io/convert/robot_guess.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "core/angles.hpp"
#include "core/median.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

double largest_range_m(const LidarTrack& track) {
  constexpr double kNearlyAll = 0.999;
  std::vector<double> ranges;
  for (const Scan& scan : track.scans.scans) {
    for (const Return& beam : scan.returns) ranges.push_back(static_cast<double>(beam.range_m));
  }
  return std::ceil(quantile(ranges, kNearlyAll));
}

}  // namespace

RobotGuess guess_robot(const LidarTrack& track, const ChosenMotion& motion, const ChosenDirection& direction) {
  RobotGuess guess;
  Robot& robot = guess.robot;
  const WheelGuess* const wheels = motion.wheels();
  if (wheels != nullptr && wheels->wraps_at_bits) {
    robot.drive = DriveConstants{};
    robot.drive->counter_bits = *wheels->wraps_at_bits;
  }
  robot.lidar.max_range_m = std::max(robot.lidar.max_range_m, largest_range_m(track));
  const std::optional<RobotFit>& fit = direction.evidence.fit;
  if (!fit || !fit->drove) return guess;
  guess.is_known = true;
  const Direction& d = direction.likeliest();
  if (wheels != nullptr) {
    if (!robot.drive) robot.drive = DriveConstants{};
    // Of a way or an angle a tick is a millionth (kTickOfUnit).
    robot.drive->left_m_per_tick = d.left_m_per_tick / wheels->ticks_of_unit;
    robot.drive->right_m_per_tick = d.right_m_per_tick / wheels->ticks_of_unit;
    robot.drive->track_width_m = fit->track_width_m;
  }
  robot.lidar.x_m = rounded(d.mounting.x_m, 3);
  robot.lidar.y_m = rounded(d.mounting.y_m, 3);
  robot.lidar.heading_deg = rounded(d.mounting.heading_rad * kDegreesPerRadian, 1);
  return guess;
}

}  // namespace wainscot
