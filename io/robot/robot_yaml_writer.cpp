#include "io/robot/robot_yaml_writer.hpp"

#include <fmt/format.h>
#include <yaml-cpp/yaml.h>

#include <optional>

namespace wainscot {
namespace {

void emit(YAML::Emitter& out, const char* key, double value) {
  out << YAML::Key << key << YAML::Value << fmt::format("{}", value);  // the shortest text that gives the same value
}

void emit(YAML::Emitter& out, const char* key, const std::optional<double>& value) {
  if (value) emit(out, key, *value);
}

void begin_section(YAML::Emitter& out, const char* name) { out << YAML::Key << name << YAML::Value << YAML::BeginMap; }

void emit_drive(YAML::Emitter& out, const DriveConstants& drive) {
  begin_section(out, "drive");
  emit(out, "left_m_per_tick", drive.left_m_per_tick);
  emit(out, "right_m_per_tick", drive.right_m_per_tick);
  emit(out, "track_width_m", drive.track_width_m);
  emit(out, "left_sd_m_per_tick", drive.left_sd_m_per_tick);
  emit(out, "right_sd_m_per_tick", drive.right_sd_m_per_tick);
  emit(out, "track_width_sd_m", drive.track_width_sd_m);
  if (!drive.track_width_by_surface_m.empty()) {
    out << YAML::Key << "track_width_by_surface_m" << YAML::Value << YAML::Flow << YAML::BeginMap;
    for (const auto& [surface, width_m] : drive.track_width_by_surface_m) {
      out << YAML::Key << YAML::DoubleQuoted << surface << YAML::Value << fmt::format("{}", width_m);
    }
    out << YAML::EndMap;
  }
  out << YAML::Key << "counter_bits" << YAML::Value << drive.counter_bits << YAML::EndMap;
}

void emit_lidar(YAML::Emitter& out, const LidarConstants& lidar) {
  begin_section(out, "lidar");
  emit(out, "x_m", lidar.x_m);
  emit(out, "y_m", lidar.y_m);
  emit(out, "heading_deg", lidar.heading_deg);
  out << YAML::Key << "mirrored" << YAML::Value << lidar.mirrored;
  emit(out, "sweep_s", lidar.sweep_s);
  emit(out, "min_range_m", lidar.min_range_m);
  emit(out, "max_range_m", lidar.max_range_m);
  emit(out, "noise_m", lidar.noise_m);
  emit(out, "noise_per_m", lidar.noise_per_m);
  emit(out, "range_unit_m", lidar.range_unit_m);
  emit(out, "range_scale", lidar.range_scale);
  emit(out, "range_offset_m", lidar.range_offset_m);
  emit(out, "time_offset_s", lidar.time_offset_s);
  emit(out, "clock_rate", lidar.clock_rate);
  out << YAML::Key << "blind_deg" << YAML::Value << YAML::Flow << YAML::BeginSeq;
  for (const Sector& sector : lidar.blind_deg) {
    out << YAML::BeginSeq << fmt::format("{}", sector.from_deg) << fmt::format("{}", sector.to_deg) << YAML::EndSeq;
  }
  out << YAML::EndSeq << YAML::EndMap;
}

}  // namespace

std::string robot_yaml_text(const Robot& robot) {
  YAML::Emitter out;
  out << YAML::BeginMap << YAML::Key << "wainscot_robot" << YAML::Value << 1;
  if (robot.drive) emit_drive(out, *robot.drive);
  begin_section(out, "motion_noise");
  emit(out, "sd_m_per_sqrt_m", robot.motion_noise.sd_m_per_sqrt_m);
  emit(out, "sd_rad_per_sqrt_rad", robot.motion_noise.sd_rad_per_sqrt_rad);
  out << YAML::EndMap;
  begin_section(out, "odometry");
  emit(out, "position_unit_m", robot.odometry.position_m);
  emit(out, "heading_unit_rad", robot.odometry.heading_rad);
  out << YAML::EndMap;
  begin_section(out, "gyro");
  out << YAML::Key << "sign" << YAML::Value << robot.gyro.sign;
  emit(out, "scale", robot.gyro.scale);
  emit(out, "bias_rad_s", robot.gyro.bias_rad_s);
  emit(out, "sd_rad_s", robot.gyro.sd_rad_s);
  out << YAML::EndMap;
  emit_lidar(out, robot.lidar);
  out << YAML::EndMap;
  return std::string(out.c_str()) + "\n";
}

}  // namespace wainscot
