#include "apps/simulator/write_drive.hpp"

#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <iterator>
#include <memory>
#include <string>
#include <string_view>
#include <system_error>

#include <fmt/format.h>

#include "core/errors.hpp"

namespace wainscot::simulator {

namespace {

namespace fs = std::filesystem;
using Text = fmt::memory_buffer;

template <typename... T>
void add(Text& text, fmt::format_string<T...> format, T&&... values) {
  fmt::format_to(std::back_inserter(text), format, std::forward<T>(values)...);
}

/// Ranges as decimals of the log's unit.
class RangeText {
 public:
  explicit RangeText(const LidarSpec& lidar)
      : unit_m_(lidar.range_unit_m), decimals_(decimals(lidar.range_step_m, lidar.range_unit_m)) {
    for (int i = 0; i < decimals_; ++i) power_ *= 10;
  }

  void add_range(Text& text, double range_m) const {
    const long long whole = std::llround(range_m / unit_m_ * static_cast<double>(power_));
    fmt::format_int digits(whole / power_);
    text.append(digits.data(), digits.data() + digits.size());
    if (decimals_ == 0) return;
    std::string rest = std::to_string(whole % power_);
    text.push_back('.');
    for (std::size_t i = rest.size(); i < static_cast<std::size_t>(decimals_); ++i) text.push_back('0');
    text.append(rest.data(), rest.data() + rest.size());
  }

 private:
  static int decimals(double step_m, double unit_m) {
    const double step = step_m > 0.0 ? step_m / unit_m : 1e-4 / unit_m;
    return std::clamp(static_cast<int>(std::ceil(-std::log10(step) - 1e-9)), 0, 4);
  }

  double unit_m_;
  int decimals_;
  long long power_ = 1;
};

void add_drive(Text& text, const DriveConstants& drive) {
  add(text, "drive:\n  left_m_per_tick: {}\n  right_m_per_tick: {}\n  track_width_m: {}\n", drive.left_m_per_tick,
      drive.right_m_per_tick, drive.track_width_m);
  if (drive.left_sd_m_per_tick) add(text, "  left_sd_m_per_tick: {}\n", *drive.left_sd_m_per_tick);
  if (drive.right_sd_m_per_tick) add(text, "  right_sd_m_per_tick: {}\n", *drive.right_sd_m_per_tick);
  if (drive.track_width_sd_m) add(text, "  track_width_sd_m: {}\n", *drive.track_width_sd_m);
  add(text, "  counter_bits: {}\n", drive.counter_bits);
}

Text poses_text(const std::vector<TimedPose>& poses) {
  Text text;
  add(text, "time_s,x_m,y_m,heading_rad\n");
  for (const TimedPose& row : poses) {
    add(text, "{:.4f},{:.5f},{:.5f},{:.6f}\n", row.time_s, row.pose.x_m, row.pose.y_m, row.pose.heading_rad);
  }
  return text;
}

Text scans_text(const SimulatedDrive& drive, const RangeText& range) {
  Text text;
  add(text, "time_s");
  for (const double angle : drive.beams_deg) add(text, ",{:.6g}", angle);
  add(text, "\n");
  for (const ScanRow& row : drive.scans) {
    add(text, "{:.5f}", row.time_s);
    for (const float r : row.range_m) {
      text.push_back(',');
      if (!std::isnan(r)) range.add_range(text, static_cast<double>(r));
    }
    text.push_back('\n');
  }
  return text;
}

Text returns_text(const std::vector<ReturnRow>& returns, const RangeText& range) {
  Text text;
  add(text, "time_s,angle_deg,range_m\n");
  for (const ReturnRow& row : returns) {
    add(text, "{:.5f},{:.2f},", row.time_s, row.angle_deg);
    range.add_range(text, row.range_m);
    text.push_back('\n');
  }
  return text;
}

Text gyro_text(const std::vector<YawRate>& gyro) {
  Text text;
  add(text, "time_s,yaw_rate_rad_s\n");
  for (const YawRate& row : gyro) add(text, "{:.4f},{:.5f}\n", row.time_s, row.yaw_rate_rad_s);
  return text;
}

Text markers_text(const std::vector<MarkerSighting>& markers) {
  Text text;
  add(text, "time_s,marker,x_m,y_m,heading_rad\n");
  for (const MarkerSighting& row : markers) {
    add(text, "{:.4f},{},{:.4f},{:.4f},", row.time_s, row.marker, row.x_m, row.y_m);
    if (row.heading_rad) add(text, "{:.4f}", *row.heading_rad);
    add(text, "\n");
  }
  return text;
}

Text marker_map_text(const std::vector<SurveyedMarker>& markers) {
  Text text;
  add(text, "marker,x_m,y_m,heading_rad\n");
  for (const SurveyedMarker& row : markers) {
    add(text, "{},{:.4f},{:.4f},", row.marker, row.x_m, row.y_m);
    if (row.heading_rad) add(text, "{:.4f}", *row.heading_rad);
    add(text, "\n");
  }
  return text;
}

Text followed_text(const std::vector<FollowedStretch>& followed) {
  Text text;
  add(text, "from_s,to_s,line\n");
  for (const FollowedStretch& row : followed) add(text, "{:.3f},{:.3f},{}\n", row.from_s, row.to_s, row.line);
  return text;
}

Text line_map_text(const std::vector<MeasuredLine>& lines) {
  Text text;
  add(text, "line,x1_m,y1_m,x2_m,y2_m\n");
  for (const MeasuredLine& row : lines) {
    add(text, "{},{:.4f},{:.4f},{:.4f},{:.4f}\n", row.line, row.x1_m, row.y1_m, row.x2_m, row.y2_m);
  }
  return text;
}

std::string_view view(const Text& text) { return {text.data(), text.size()}; }

void fill(const SimulatedDrive& drive, const RobotSpec& robot, const fs::path& folder) {
  const RangeText range(robot.lidar);
  save(folder / "robot.yaml", robot_text(drive.robot, !drive.gyro.empty()));
  if (drive.odometry.empty()) {
    save(folder / "wheels.csv", wheels_text(drive.wheels));
  } else {
    save(folder / "odometry.csv", view(poses_text(drive.odometry)));
  }
  if (drive.returns.empty()) {
    save(folder / "scans.csv", view(scans_text(drive, range)));
  } else {
    save(folder / "returns.csv", view(returns_text(drive.returns, range)));
  }
  if (!drive.gyro.empty()) save(folder / "gyro.csv", view(gyro_text(drive.gyro)));
  if (!drive.markers.empty()) save(folder / "markers.csv", view(markers_text(drive.markers)));
  if (!drive.marker_map.empty()) save(folder / "marker_map.csv", view(marker_map_text(drive.marker_map)));
  if (!drive.followed.empty()) save(folder / "followed.csv", view(followed_text(drive.followed)));
  if (!drive.line_map.empty()) save(folder / "line_map.csv", view(line_map_text(drive.line_map)));
  save(folder / "truth.csv", view(poses_text(drive.truth.trajectory)));
}

}  // namespace

void save(const fs::path& file, std::string_view text) {
  struct Close {
    void operator()(std::FILE* f) const { std::fclose(f); }
  };
  const std::unique_ptr<std::FILE, Close> out(std::fopen(file.c_str(), "wb"));
  const bool written = out && std::fwrite(text.data(), 1, text.size(), out.get()) == text.size() &&
                       std::fflush(out.get()) == 0 && ::fsync(::fileno(out.get())) == 0;
  if (!written) {
    throw InputError(fmt::format("{}: cannot be written ({}); free some space or choose another folder.", file.string(),
                                 std::generic_category().message(errno)));
  }
}

std::string robot_text(const Robot& robot, bool gyro) {
  Text text;
  add(text, "# A simulated robot.\nwainscot_robot: 1\n");
  if (robot.drive) add_drive(text, *robot.drive);
  add(text, "motion_noise:\n  sd_m_per_sqrt_m: {}\n  sd_rad_per_sqrt_rad: {}\n", robot.motion_noise.sd_m_per_sqrt_m,
      robot.motion_noise.sd_rad_per_sqrt_rad);
  if (gyro) {
    add(text, "gyro: {{sign: {}, scale: {}, bias_rad_s: {}, sd_rad_s: {}}}\n", robot.gyro.sign, robot.gyro.scale,
        robot.gyro.bias_rad_s, robot.gyro.sd_rad_s);
  }
  const LidarConstants& lidar = robot.lidar;
  add(text, "lidar:\n  x_m: {}\n  y_m: {}\n  heading_deg: {}\n", lidar.x_m, lidar.y_m, lidar.heading_deg);
  if (lidar.mirrored) add(text, "  mirrored: true\n");
  if (lidar.sweep_s) add(text, "  sweep_s: {}\n", *lidar.sweep_s);
  add(text, "  min_range_m: {}\n  max_range_m: {}\n  noise_m: {}\n  noise_per_m: {}\n", lidar.min_range_m,
      lidar.max_range_m, lidar.noise_m, lidar.noise_per_m);
  if (lidar.range_unit_m != 1.0) add(text, "  range_unit_m: {}\n", lidar.range_unit_m);
  for (const Sector& sector : lidar.blind_deg) add(text, "  blind_deg: [[{}, {}]]\n", sector.from_deg, sector.to_deg);
  return fmt::to_string(text);
}

std::string wheels_text(const std::vector<WheelCounts>& wheels) {
  Text text;
  add(text, "time_s,left_ticks,right_ticks\n");
  for (const WheelCounts& row : wheels) add(text, "{:.4f},{},{}\n", row.time_s, row.left_ticks, row.right_ticks);
  return fmt::to_string(text);
}

void write_folder(const fs::path& folder, const std::function<void(const fs::path&)>& fill_folder) {
  std::error_code error;
  if (!fs::create_directory(folder, error)) {
    if (!error) throw InputError(fmt::format("{}: is there already; choose another name.", folder.string()));
    throw InputError(
        fmt::format("{}: cannot be written ({}); choose a folder that can.", folder.string(), error.message()));
  }
  try {
    fill_folder(folder);
  } catch (const InputError&) {
    fs::remove_all(folder, error);
    throw;
  }
}

void write_drive(const SimulatedDrive& drive, const RobotSpec& robot, const fs::path& folder) {
  write_folder(folder, [&](const fs::path& fresh) { fill(drive, robot, fresh); });
}

void write_surfaces(const Surfaces& surfaces, const fs::path& file) {
  const auto kind = [](SurfaceKind k) -> std::string_view {
    switch (k) {
      case SurfaceKind::wall:
        return "wall";
      case SurfaceKind::furniture:
        return "furniture";
      case SurfaceKind::door:
        return "door";
      case SurfaceKind::glass:
        return "glass";
      case SurfaceKind::mirror:
        break;
    }
    return "mirror";
  };
  Text text;
  add(text, "x1_m,y1_m,x2_m,y2_m,kind,face\n");
  for (const Surface& s : as_segments(surfaces)) {
    add(text, "{:.5f},{:.5f},{:.5f},{:.5f},{},{}\n", s.from.x_m, s.from.y_m, s.to.x_m, s.to.y_m, kind(s.kind), s.face);
  }
  save(file, view(text));
}

}  // namespace wainscot::simulator
