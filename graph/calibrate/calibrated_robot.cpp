#include "graph/calibrate/calibrated_robot.hpp"

#include <numbers>

namespace wainscot {

Robot calibrated_robot(const Robot& stated, const DriveCalibration& found) {
  Robot robot = stated;
  DriveConstants& drive = *robot.drive;
  const bool wheels = found.observed[kLeftPerTick] && found.observed[kRightPerTick];
  if (wheels) {
    drive.left_m_per_tick = found.found[kLeftPerTick];
    drive.right_m_per_tick = found.found[kRightPerTick];
    drive.left_sd_m_per_tick = found.sd(kLeftPerTick);
    drive.right_sd_m_per_tick = found.sd(kRightPerTick);
  }
  if (wheels && found.observed[kTrackWidth]) {
    drive.track_width_m = found.found[kTrackWidth];
    drive.track_width_sd_m = found.sd(kTrackWidth);
  }
  if (found.observed[kLidarX]) robot.lidar.x_m = found.found[kLidarX];
  if (found.observed[kLidarY]) robot.lidar.y_m = found.found[kLidarY];
  if (found.observed[kLidarHeading]) robot.lidar.heading_deg = found.found[kLidarHeading] / (std::numbers::pi / 180.0);
  if (found.observed[kClockOffset]) robot.lidar.time_offset_s += found.found[kClockOffset];
  return robot;
}

}  // namespace wainscot
