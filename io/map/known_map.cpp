#include "io/map/known_map.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include "graph/compare/node_points.hpp"
#include "graph/constants.hpp"
#include "graph/known/map_views.hpp"

namespace wainscot {
namespace {

constexpr double kDelayOfAnotherDayS = 0.01;  // clocks that drift by 50 ppm are 10 ms off after 3 minutes

/// The value of robot.yaml that a refined constant is about; nullptr: none that a drive is read with.
double* value_of(Robot& robot, const std::string& name) {
  if (name == "lidar.x_m") return &robot.lidar.x_m;
  if (name == "lidar.y_m") return &robot.lidar.y_m;
  if (name == "lidar.heading_deg") return &robot.lidar.heading_deg;
  if (name == "lidar.range_scale") return &robot.lidar.range_scale;
  if (name == "lidar.range_offset_m") return &robot.lidar.range_offset_m;
  if (name == "lidar.time_offset_s") return &robot.lidar.time_offset_s;
  if (name == "gyro.bias_rad_s") return &robot.gyro.bias_rad_s;
  if (name == "gyro.scale") return &robot.gyro.scale;
  if (!robot.drive) return nullptr;
  if (name == "drive.left_m_per_tick") return &robot.drive->left_m_per_tick;
  if (name == "drive.right_m_per_tick") return &robot.drive->right_m_per_tick;
  if (name == "drive.track_width_m") return &robot.drive->track_width_m;
  return nullptr;
}

/// The robot.yaml of the map's first drive, or one that holds what the map found.
bool states_the_same(const Map& map, Robot robot) {
  constexpr double kSame = 1e-9;
  constexpr double kRounding = 0.1;  // of the standard uncertainty, two digits of which decide where a number is cut
  for (const RefinedConstant& constant : map.constants) {
    const double* value = value_of(robot, constant.name);
    const bool is_wheel = constant.name.starts_with("drive.");
    if (value == nullptr && is_wheel) return false;
    if (value == nullptr) continue;
    const bool as_stated = std::abs(*value - constant.stated) <= kSame * (1.0 + std::abs(constant.stated));
    if (!as_stated && std::abs(*value - constant.found) > kRounding * constant.found_sd) return false;
  }
  return !map.constants.empty();
}

double found_clock_rate(const Map& map, double stated) {
  for (const RefinedConstant& constant : map.constants) {
    if (constant.name == "lidar.clock_rate") return constant.found;
  }
  return stated;
}

/// From the beginning of the map's first drive to its middle, where what the map found of the lidar's clock holds.
double half_of_first_drive_s(const Map& map) {
  if (map.trajectory.empty()) return 0.0;
  const TrajectoryRow& begin = map.trajectory.front();
  const auto end = std::find_if(map.trajectory.rbegin(), map.trajectory.rend(),
                                [&begin](const TrajectoryRow& row) { return row.drive == begin.drive; });
  return 0.5 * (end->time_s - begin.time_s);
}

/// Another drive's clocks are taken to have begun together as those of the map's first drive did.
void correct_clock(Drive& drive, double offset_change_s, double rate_change, const Map& map) {
  if (drive.scans.empty()) return;
  const double middle_s = drive.scans.front().time_s + half_of_first_drive_s(map);
  for (Scan& scan : drive.scans) scan.time_s += offset_change_s + rate_change * (scan.time_s - middle_s);
}

}  // namespace

KnownMap known_map(const SavedMap& saved) {
  return known_map(saved.map, saved.drives, map_views(saved.map, saved.drives));
}

KnownRobot with_found_constants(Drive drive, const SavedMap& saved) {
  KnownRobot known;
  known.lidar = lidar_model(drive.robot.lidar);
  known.is_of_the_map = states_the_same(saved.map, drive.robot);
  if (known.is_of_the_map) {
    known.lidar = found_lidar(saved.map, drive.robot);
    const double offset_before_s = drive.robot.lidar.time_offset_s;
    for (const RefinedConstant& constant : saved.map.constants) {
      if (double* value = value_of(drive.robot, constant.name)) *value = constant.found;
    }
    const double rate = drive.robot.lidar.clock_rate;
    correct_clock(drive, drive.robot.lidar.time_offset_s - offset_before_s, found_clock_rate(saved.map, rate) - rate,
                  saved.map);
    known.options.delay_sd_s = kDelayOfAnotherDayS;
  } else {
    const ConstantMatrix prior = constant_prior(drive);
    const Eigen::Vector3d mounting = prior.diagonal().segment<3>(kMountingX);
    known.options.delay_sd_s = std::sqrt(prior(kTimeOffset, kTimeOffset));
    known.options.common_sd = (known.options.common_sd.cwiseAbs2() + mounting).cwiseSqrt();
  }
  known.drive = std::move(drive);
  return known;
}

}  // namespace wainscot
