#include "io/robot/robot_section.hpp"

#include <algorithm>
#include <utility>
#include <vector>

namespace wainscot {
namespace {

struct SectionKeys {
  std::string section;  // empty: the top level
  std::vector<std::string> keys;
};

const std::vector<SectionKeys>& robot_keys() {
  static const std::vector<SectionKeys> keys = {
      {"", {"wainscot_robot", "drive", "motion_noise", "odometry", "gyro", "lidar"}},
      {"drive",
       {"left_m_per_tick", "right_m_per_tick", "track_width_m", "left_sd_m_per_tick", "right_sd_m_per_tick",
        "track_width_sd_m", "track_width_by_surface_m", "counter_bits"}},
      {"motion_noise", {"sd_m_per_sqrt_m", "sd_rad_per_sqrt_rad"}},
      {"odometry", {"position_unit_m", "heading_unit_rad"}},
      {"gyro", {"sign", "scale", "bias_rad_s", "sd_rad_s"}},
      {"lidar",
       {"x_m", "y_m", "heading_deg", "mirrored", "sweep_s", "min_range_m", "max_range_m", "noise_m", "noise_per_m",
        "range_unit_m", "range_scale", "range_offset_m", "clock_rate", "blind_deg", "time_offset_s"}},
  };
  return keys;
}

const std::vector<std::string>& keys_of(const std::string& section) {
  return std::find_if(robot_keys().begin(), robot_keys().end(), [&](const auto& s) { return s.section == section; })
      ->keys;
}

// "drive.track_width_m", of all sections.
std::vector<std::string> full_robot_keys() {
  std::vector<std::string> names;
  for (const SectionKeys& section : robot_keys()) {
    for (const std::string& key : section.keys) {
      names.push_back(section.section.empty() ? key : section.section + "." + key);
    }
  }
  return names;
}

}  // namespace

RobotSection::RobotSection(std::string file, const std::string& name, const YAML::Node& node)
    : YamlSection(std::move(file), name, node, keys_of(name), full_robot_keys()) {}

}  // namespace wainscot
