#include "io/known_map.hpp"

#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include "graph/constants.hpp"
#include "graph/map_views.hpp"
#include "graph/node_points.hpp"

namespace wainscot {
namespace {

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

bool states_the_same(const Map& map, Robot robot) {
  constexpr double kSame = 1e-9;
  for (const RefinedConstant& constant : map.constants) {
    const double* value = value_of(robot, constant.name);
    const bool is_wheel = constant.name.starts_with("drive.");
    if (value == nullptr && is_wheel) return false;
    if (value != nullptr && std::abs(*value - constant.stated) > kSame * (1.0 + std::abs(constant.stated)))
      return false;
  }
  return !map.constants.empty();
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
    for (Scan& scan : drive.scans) scan.time_s += drive.robot.lidar.time_offset_s - offset_before_s;
  } else {
    const ConstantMatrix prior = constant_prior(drive);
    const Eigen::Vector3d mounting = prior.diagonal().segment<3>(kMountingX);
    known.options.common_sd = (known.options.common_sd.cwiseAbs2() + mounting).cwiseSqrt();
  }
  known.drive = std::move(drive);
  return known;
}

}  // namespace wainscot
