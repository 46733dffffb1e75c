#include "graph/check/finding.hpp"

#include <algorithm>
#include <functional>
#include <map>
#include <optional>
#include <utility>

#include "core/chi_squared.hpp"

namespace wainscot {
namespace {

std::string number(double value) { return sentence("%.6g", value); }

/// To two digits; a line is asked for only where the file has one.
std::string uncertainty(const std::optional<double>& sd) { return sentence("%.2g", sd.value_or(0.0)); }

std::string sectors(const std::vector<Sector>& blind) {
  std::string list;
  for (const Sector& sector : blind) {
    list += (list.empty() ? "[" : ", [") + number(sector.from_deg) + ", " + number(sector.to_deg) + "]";
  }
  return "[" + list + "]";
}

using Show = std::function<std::string(const Robot&)>;

const std::map<std::string, Show>& shown_keys() {
  static const std::map<std::string, Show> keys = {
      {"drive.left_m_per_tick", [](const Robot& r) { return number(r.drive->left_m_per_tick); }},
      {"drive.right_m_per_tick", [](const Robot& r) { return number(r.drive->right_m_per_tick); }},
      {"drive.track_width_m", [](const Robot& r) { return number(r.drive->track_width_m); }},
      {"drive.left_sd_m_per_tick", [](const Robot& r) { return uncertainty(r.drive->left_sd_m_per_tick); }},
      {"drive.right_sd_m_per_tick", [](const Robot& r) { return uncertainty(r.drive->right_sd_m_per_tick); }},
      {"drive.track_width_sd_m", [](const Robot& r) { return uncertainty(r.drive->track_width_sd_m); }},
      {"drive.counter_bits", [](const Robot& r) { return std::to_string(r.drive->counter_bits); }},
      {"odometry.position_unit_m", [](const Robot& r) { return number(r.odometry.position_m); }},
      {"odometry.heading_unit_rad", [](const Robot& r) { return number(r.odometry.heading_rad); }},
      {"gyro.scale", [](const Robot& r) { return number(r.gyro.scale); }},
      {"gyro.sign", [](const Robot& r) { return std::to_string(r.gyro.sign); }},
      {"lidar.x_m", [](const Robot& r) { return sentence("%.3f", r.lidar.x_m); }},
      {"lidar.y_m", [](const Robot& r) { return sentence("%.3f", r.lidar.y_m); }},
      {"lidar.heading_deg", [](const Robot& r) { return sentence("%.1f", r.lidar.heading_deg); }},
      {"lidar.mirrored", [](const Robot& r) { return std::string(r.lidar.mirrored ? "true" : "false"); }},
      {"lidar.sweep_s", [](const Robot& r) { return sentence("%.4f", r.lidar.sweep_s.value_or(0.0)); }},
      {"lidar.max_range_m", [](const Robot& r) { return number(r.lidar.max_range_m); }},
      {"lidar.range_unit_m", [](const Robot& r) { return number(r.lidar.range_unit_m); }},
      {"lidar.range_scale", [](const Robot& r) { return sentence("%.4f", r.lidar.range_scale); }},
      {"lidar.time_offset_s", [](const Robot& r) { return sentence("%.3f", r.lidar.time_offset_s); }},
      {"lidar.clock_rate", [](const Robot& r) { return sentence("%.6f", r.lidar.clock_rate); }},
      {"lidar.blind_deg", [](const Robot& r) { return sectors(r.lidar.blind_deg); }}};
  return keys;
}

}  // namespace

std::string fault_name(Fault fault) {
  static const std::map<Fault, std::string> names = {{Fault::time_unit, "time_unit"},
                                                     {Fault::odometry_unit, "odometry_unit"},
                                                     {Fault::heading_unit, "heading_unit"},
                                                     {Fault::gyro_unit, "gyro_unit"},
                                                     {Fault::counter_wraps, "counter_wraps"},
                                                     {Fault::dead_counter, "dead_counter"},
                                                     {Fault::lost_wheel_rows, "lost_wheel_rows"},
                                                     {Fault::doubled_wheel_rows, "doubled_wheel_rows"},
                                                     {Fault::range_unit, "range_unit"},
                                                     {Fault::largest_range, "largest_range"},
                                                     {Fault::body_in_view, "body_in_view"},
                                                     {Fault::lost_scans, "lost_scans"},
                                                     {Fault::doubled_scans, "doubled_scans"},
                                                     {Fault::too_little_seen, "too_little_seen"},
                                                     {Fault::firing_order, "firing_order"},
                                                     {Fault::sweep_time, "sweep_time"},
                                                     {Fault::unrelated, "unrelated"},
                                                     {Fault::clock_offset, "clock_offset"},
                                                     {Fault::clock_drift, "clock_drift"},
                                                     {Fault::mirrored, "mirrored"},
                                                     {Fault::swapped, "swapped"},
                                                     {Fault::left_backwards, "left_backwards"},
                                                     {Fault::right_backwards, "right_backwards"},
                                                     {Fault::both_backwards, "both_backwards"},
                                                     {Fault::lidar_turned, "lidar_turned"},
                                                     {Fault::lidar_displaced, "lidar_displaced"},
                                                     {Fault::left_tick, "left_tick"},
                                                     {Fault::right_tick, "right_tick"},
                                                     {Fault::both_ticks, "both_ticks"},
                                                     {Fault::track_width, "track_width"},
                                                     {Fault::range_scale, "range_scale"},
                                                     {Fault::gyro_sign, "gyro_sign"},
                                                     {Fault::stuck, "stuck"},
                                                     {Fault::slip, "slip"},
                                                     {Fault::lifted, "lifted"},
                                                     {Fault::too_fast, "too_fast"}};
  return names.at(fault);
}

bool is_of_units(Fault fault) {
  using enum Fault;
  return fault == time_unit || fault == odometry_unit || fault == heading_unit || fault == gyro_unit ||
         fault == range_unit;
}

std::string robot_line(const Robot& robot, const std::string& key) { return key + ": " + shown_keys().at(key)(robot); }

double confidence_of(double chi_squared, int degrees) {
  constexpr double kMost = 0.9999;  // chance is not all that may mislead
  return std::min(kMost, chi_squared_probability(chi_squared, degrees));
}

}  // namespace wainscot
