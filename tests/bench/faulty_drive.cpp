#include "tests/bench/faulty_drive.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <limits>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "apps/simulator/like_recorded.hpp"
#include "apps/simulator/random_house.hpp"
#include "apps/simulator/write_drive.hpp"
#include "io/log/log_readings.hpp"
#include "tests/bench/temporary_folder.hpp"

namespace wainscot::bench {
namespace {

std::string robot_yaml(const Robot& robot, bool gyro) {
  std::string text = "# A simulated robot.\nwainscot_robot: 1\n";
  if (robot.drive) {
    const DriveConstants& d = *robot.drive;
    text +=
        fmt::format("drive:\n  left_m_per_tick: {}\n  right_m_per_tick: {}\n  track_width_m: {}\n  counter_bits: {}\n",
                    d.left_m_per_tick, d.right_m_per_tick, d.track_width_m, d.counter_bits);
    if (d.left_sd_m_per_tick) text += fmt::format("  left_sd_m_per_tick: {}\n", *d.left_sd_m_per_tick);
    if (d.right_sd_m_per_tick) text += fmt::format("  right_sd_m_per_tick: {}\n", *d.right_sd_m_per_tick);
    if (d.track_width_sd_m) text += fmt::format("  track_width_sd_m: {}\n", *d.track_width_sd_m);
  }
  text += fmt::format("motion_noise:\n  sd_m_per_sqrt_m: {}\n  sd_rad_per_sqrt_rad: {}\n",
                      robot.motion_noise.sd_m_per_sqrt_m, robot.motion_noise.sd_rad_per_sqrt_rad);
  text += fmt::format("odometry: {{position_unit_m: {}, heading_unit_rad: {}}}\n", robot.odometry.position_m,
                      robot.odometry.heading_rad);
  if (gyro) {
    text += fmt::format("gyro: {{sign: {}, scale: {}, sd_rad_s: {}}}\n", robot.gyro.sign, robot.gyro.scale,
                        robot.gyro.sd_rad_s);
  }
  const LidarConstants& l = robot.lidar;
  text += fmt::format(
      "lidar:\n  x_m: {}\n  y_m: {}\n  heading_deg: {}\n  mirrored: {}\n  min_range_m: {}\n  max_range_m: {}\n"
      "  noise_m: {}\n  noise_per_m: {}\n  range_unit_m: {}\n  range_scale: {}\n  time_offset_s: {}\n  clock_rate: "
      "{}\n",
      l.x_m, l.y_m, l.heading_deg, l.mirrored, l.min_range_m, l.max_range_m, l.noise_m, l.noise_per_m, l.range_unit_m,
      l.range_scale, l.time_offset_s, l.clock_rate);
  if (l.sweep_s) text += fmt::format("  sweep_s: {}\n", *l.sweep_s);
  std::string sectors;
  for (const Sector& sector : l.blind_deg) {
    sectors += fmt::format("{}[{}, {}]", sectors.empty() ? "" : ", ", sector.from_deg, sector.to_deg);
  }
  return text + fmt::format("  blind_deg: [{}]\n", sectors);
}

template <typename Row>
void cut_rows(std::vector<Row>& rows, double until_s) {
  std::erase_if(rows, [until_s](const Row& row) { return row.time_s > until_s; });
}

}  // namespace

simulator::Plan short_plan(std::uint64_t house, const std::string& level) {
  simulator::HouseOptions options;
  options.most_area_m2 = 110.0;
  options.least_tour_s = options.most_tour_s = 0.0;
  options.least_drive_s = 60.0;
  options.most_drive_s = 200.0;
  simulator::Plan plan = simulator::random_house(house, options);
  if (level == "like-recorded") {
    plan = simulator::like_recorded(std::move(plan), house);
    // As far off as in the recordings and no further: what is beyond is a fault, and found as one.
    plan.defects.mounting_x_error_m = simulator::Knob::uniform(-0.055, 0.055);
    plan.defects.mounting_y_error_m = simulator::Knob::uniform(-0.055, 0.055);
    plan.defects.odometry_way_lost_rel = simulator::Knob::uniform(-0.012, 0.027);
  } else if (level == "calibrated") {
    plan.defects = simulator::calibrated(plan.defects);
    plan.uncertainties_stated = true;
  }
  return plan;
}

void cut(simulator::SimulatedDrive& drive, double seconds) {
  cut_rows(drive.wheels, seconds);
  cut_rows(drive.odometry, seconds);
  cut_rows(drive.scans, seconds);
  cut_rows(drive.returns, seconds);
  cut_rows(drive.gyro, seconds);
}

void write_folder(const FaultyDrive& drive, const std::filesystem::path& folder) {
  simulator::write_drive(drive.simulated, drive.spec, folder);
  std::ofstream(folder / "robot.yaml") << robot_yaml(drive.simulated.robot, !drive.simulated.gyro.empty());
}

LogReadings written_and_read(const FaultyDrive& drive) {
  const TemporaryFolder temporary;
  const std::filesystem::path folder = temporary.path() / "drive";
  write_folder(drive, folder);
  return read_log(folder);
}

void thin_out(simulator::SimulatedDrive& drive, std::size_t beams_kept) {
  const std::size_t every = std::max<std::size_t>(1, drive.beams_deg.size() / beams_kept);
  for (simulator::ScanRow& row : drive.scans) {
    for (std::size_t b = 0; b < row.range_m.size(); ++b) {
      if (b % every != 0) row.range_m[b] = std::numeric_limits<float>::quiet_NaN();
    }
  }
}

void set_time_units(FaultyDrive& drive, double wheel_unit_s, double scan_unit_s) {
  const auto scale = [](auto& rows, double factor) {
    for (auto& row : rows) row.time_s *= factor;
  };
  simulator::SimulatedDrive& s = drive.simulated;
  scale(s.wheels, drive.wheel_unit_s / wheel_unit_s);
  scale(s.odometry, drive.wheel_unit_s / wheel_unit_s);
  scale(s.gyro, drive.wheel_unit_s / wheel_unit_s);
  scale(s.scans, drive.scan_unit_s / scan_unit_s);
  drive.wheel_unit_s = wheel_unit_s;
  drive.scan_unit_s = scan_unit_s;
}

void exchange_columns(FaultyDrive& drive) {
  for (WheelCounts& row : drive.simulated.wheels) std::swap(row.left_ticks, row.right_ticks);
}

void reverse_beams(FaultyDrive& drive) {
  std::reverse(drive.simulated.beams_deg.begin(), drive.simulated.beams_deg.end());
  for (simulator::ScanRow& row : drive.simulated.scans) std::reverse(row.range_m.begin(), row.range_m.end());
}

void drop_repeated_scans(FaultyDrive& drive) {
  std::vector<simulator::ScanRow>& scans = drive.simulated.scans;
  const auto same = [](const simulator::ScanRow& a, const simulator::ScanRow& b) {
    return std::equal(a.range_m.begin(), a.range_m.end(), b.range_m.begin(),
                      [](float p, float q) { return p == q || (std::isnan(p) && std::isnan(q)); });
  };
  scans.erase(std::unique(scans.begin(), scans.end(), same), scans.end());
}

}  // namespace wainscot::bench
