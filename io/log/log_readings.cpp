#include "io/log/log_readings.hpp"

#include <utility>

#include "core/angles.hpp"

namespace wainscot {
namespace {

/// Ranges as they are written, none left out.
void open_wide(Robot& robot) {
  constexpr double kAnyRange = 1e9;
  robot.lidar.range_unit_m = 1.0;
  robot.lidar.min_range_m = 0.0;
  robot.lidar.max_range_m = kAnyRange;
  robot.lidar.blind_deg.clear();
}

}  // namespace

LogReadings read_log(const std::filesystem::path& folder, const ReadProgress& progress, LidarLog lidar_log) {
  LogReadings readings;
  readings.drive = read_drive(folder, progress, {}, lidar_log);
  const double unit = readings.drive.robot.odometry.heading_rad;
  const double other_unit = unit == 1.0 ? kDegree : 1.0;
  const auto otherwise = [other_unit](Robot& robot) {
    open_wide(robot);
    robot.odometry.heading_rad = other_unit;
  };
  Drive logged = read_drive(folder, {}, otherwise, lidar_log);
  readings.logged = std::move(logged.scans);
  if (!logged.odometry.empty()) {
    readings.other_headings = OtherHeadings{other_unit, std::move(logged.odometry), std::move(logged.breaks)};
  }
  if (!readings.drive.wheels.empty() && !readings.drive.breaks.empty() &&
      readings.drive.robot.drive->counter_bits != 16) {
    const auto narrow = [](Robot& robot) { robot.drive->counter_bits = 16; };
    readings.with_16_bits = read_drive(folder, {}, narrow, lidar_log);
  }
  return readings;
}

}  // namespace wainscot
