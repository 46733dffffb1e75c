#include "io/robot/robot_yaml.hpp"

#include <fmt/format.h>
#include <yaml-cpp/yaml.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <utility>
#include <vector>

#include "core/errors.hpp"
#include "core/nearest_name.hpp"
#include "io/files/file_reader.hpp"
#include "io/number_reader.hpp"
#include "io/robot/plain_yaml.hpp"
#include "io/robot/robot_section.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr std::int64_t kVersion = 1;

constexpr Bounds kAnyLength_m = {-10.0, 10.0};
constexpr Bounds kPositiveLength_m = {kTiny, 10.0};
constexpr Bounds kFactor = {0.5, 2.0};
constexpr Bounds kUnit = {1e-6, 10.0};
/// From a hundredth of what 16 bits over 250 degrees a second count in, to turns a second.
constexpr Bounds kGyroUnit = {1e-6, 7.0};

void check_version(const RobotSection& top) {
  const std::optional<std::string> written = top.text("wainscot_robot");
  if (!written) top.fail("wainscot_robot", "is missing; begin the file with the line wainscot_robot: 1");
  std::int64_t version = 0;
  if (read_whole_number(*written, version) != NumberFault::none || version < 1) {
    top.fail("wainscot_robot", fmt::format("is '{}', which is no version; write 1", printable(*written)));
  }
  if (version > kVersion) {
    top.fail("wainscot_robot",
             fmt::format("is {}, a newer form than this program reads ({}); update the program", version, kVersion));
  }
}

double metres_per_tick(const RobotSection& section, const std::string& key) {
  const double value = section.number(key, {-1.0, 1.0}).value_or(0.0);
  if (section.find(key).IsDefined() && value == 0.0) section.fail(key, "is 0; write how far the wheel rolls a tick");
  return value;
}

std::map<std::string, double> widths_by_surface(const RobotSection& section) {
  const std::string key = "track_width_by_surface_m";
  const std::string form = "does not list surfaces and widths; write them such as {wood: 0.31, carpet: 0.33}";
  const YAML::Node node = section.find(key);
  std::map<std::string, double> widths;
  if (!node.IsDefined()) return widths;
  if (!node.IsMap()) section.fail(key, form);
  for (const auto& entry : node) {
    if (!entry.first.IsScalar() || !entry.second.IsScalar()) {
      section.fail(key, form, entry.first.Mark());
    }
    const std::string& surface = entry.first.Scalar();
    if (surface.empty() || !is_plain_text(surface))
      section.fail(key, "has a surface without a proper name; write a word", entry.first.Mark());
    const double width = section.checked_number(key, entry.second.Scalar(), kPositiveLength_m, entry.first.Mark());
    if (!widths.emplace(surface, width).second) {
      section.fail(key, fmt::format("has {} twice; remove one", printable(surface)), entry.first.Mark());
    }
  }
  return widths;
}

constexpr std::array<const char*, 3> kWheelKeys{"left_m_per_tick", "right_m_per_tick", "track_width_m"};

/// Whether the section has none of these keys.
template <typename Keys>
bool has_none_of(const YAML::Node& section, const Keys& keys) {
  return std::none_of(keys.begin(), keys.end(), [&section](const char* key) {
    return section.IsDefined() && !section.IsNull() && section[key].IsDefined();
  });
}

/// The file's other keys of `drive:`, and zeros for what the drive has to tell.
DriveConstants without_wheels(DriveConstants drive) {
  drive.left_m_per_tick = drive.right_m_per_tick = drive.track_width_m = 0.0;
  drive.left_sd_m_per_tick = drive.right_sd_m_per_tick = drive.track_width_sd_m = std::nullopt;
  drive.track_width_by_surface_m.clear();
  return drive;
}

std::optional<DriveConstants> drive_constants(const std::string& file, const YAML::Node& node,
                                              WheelConstants wheel_constants) {
  const bool findable = wheel_constants == WheelConstants::findable;
  if (!node.IsDefined()) return findable ? std::optional(DriveConstants{}) : std::nullopt;
  const RobotSection section(file, "drive", node);
  DriveConstants drive;
  drive.left_m_per_tick = metres_per_tick(section, "left_m_per_tick");
  drive.right_m_per_tick = metres_per_tick(section, "right_m_per_tick");
  section.set_number("track_width_m", kPositiveLength_m, drive.track_width_m);
  drive.left_sd_m_per_tick = section.number("left_sd_m_per_tick", {kTiny, 1.0});
  drive.right_sd_m_per_tick = section.number("right_sd_m_per_tick", {kTiny, 1.0});
  drive.track_width_sd_m = section.number("track_width_sd_m", kPositiveLength_m);
  drive.track_width_by_surface_m = widths_by_surface(section);
  section.set_choice("counter_bits", {16, 32}, drive.counter_bits);
  if (findable && has_none_of(node, kWheelKeys)) return without_wheels(std::move(drive));
  for (const char* key : kWheelKeys) {
    if (section.find(key).IsDefined()) continue;
    if (wheel_constants == WheelConstants::optional) return std::nullopt;
    section.fail(key, findable ? "is missing, but wheels.csv needs it; add it, or leave out both m_per_tick and the "
                                 "track width: build then finds all three from the drive"
                               : "is missing, but wheels.csv needs it; add it");
  }
  return drive;
}

LeftOut left_out(const std::optional<DriveConstants>& drive, const YAML::Node& lidar) {
  constexpr std::array<const char*, 3> kMounting{"x_m", "y_m", "heading_deg"};
  constexpr std::array<const char*, 1> kMirrored{"mirrored"};
  LeftOut out;
  out.wheels = drive && drive->track_width_m == 0.0;
  out.mounting = out.wheels && has_none_of(lidar, kMounting);
  out.mirrored = out.wheels && has_none_of(lidar, kMirrored);
  return out;
}

MotionNoise motion_noise(const std::string& file, const YAML::Node& node) {
  MotionNoise noise;
  if (!node.IsDefined()) return noise;
  const RobotSection section(file, "motion_noise", node);
  section.set_number("sd_m_per_sqrt_m", {kTiny, 10.0}, noise.sd_m_per_sqrt_m);
  section.set_number("sd_rad_per_sqrt_rad", {kTiny, 10.0}, noise.sd_rad_per_sqrt_rad);
  return noise;
}

OdometryUnits odometry_units(const std::string& file, const YAML::Node& node) {
  OdometryUnits units;
  if (!node.IsDefined()) return units;
  const RobotSection section(file, "odometry", node);
  section.set_number("position_unit_m", kUnit, units.position_m);
  section.set_number("heading_unit_rad", kUnit, units.heading_rad);
  return units;
}

GyroConstants gyro_constants(const std::string& file, const YAML::Node& node) {
  GyroConstants gyro;
  if (!node.IsDefined()) return gyro;
  const RobotSection section(file, "gyro", node);
  section.set_choice("sign", {1, -1}, gyro.sign);
  section.set_number("scale", kGyroUnit, gyro.scale);
  section.set_number("bias_rad_s", {-10.0, 10.0}, gyro.bias_rad_s);
  section.set_number("sd_rad_s", {kTiny, 10.0}, gyro.sd_rad_s);
  return gyro;
}

std::vector<Sector> blind_sectors(const RobotSection& section) {
  const std::string key = "blind_deg";
  const std::string form = "is no list of sectors; write from and to in degrees, such as [[170, -170]]";
  const YAML::Node node = section.find(key);
  std::vector<Sector> sectors;
  if (!node.IsDefined()) return sectors;
  if (!node.IsSequence()) section.fail(key, form);
  constexpr std::size_t kMostSectors = 100;  // a cage has fewer bars; every beam is held against each
  if (node.size() > kMostSectors) {
    section.fail(key,
                 fmt::format("has {} sectors, and there may be {}; join those that meet", node.size(), kMostSectors));
  }
  for (const auto& pair : node) {
    if (!pair.IsSequence() || pair.size() != 2 || !pair[0].IsScalar() || !pair[1].IsScalar()) section.fail(key, form);
    Sector sector;
    sector.from_deg = section.checked_number(key, pair[0].Scalar(), {-360.0, 360.0}, pair.Mark());
    sector.to_deg = section.checked_number(key, pair[1].Scalar(), {-360.0, 360.0}, pair.Mark());
    if (std::abs(sector.to_deg - sector.from_deg) >= 360.0)
      section.fail(key, "leaves no direction that is seen; correct the sector");
    sectors.push_back(sector);
  }
  return sectors;
}

LidarConstants lidar_constants(const std::string& file, const YAML::Node& node) {
  LidarConstants lidar;
  if (!node.IsDefined()) return lidar;
  const RobotSection section(file, "lidar", node);
  section.set_number("x_m", kAnyLength_m, lidar.x_m);
  section.set_number("y_m", kAnyLength_m, lidar.y_m);
  section.set_number("heading_deg", {-360.0, 360.0}, lidar.heading_deg);
  section.set_flag("mirrored", lidar.mirrored);
  lidar.sweep_s = section.number("sweep_s", {0.0, 10.0});
  section.set_number("min_range_m", {0.0, 1000.0}, lidar.min_range_m);
  section.set_number("max_range_m", {kTiny, 1000.0}, lidar.max_range_m);
  section.set_number("noise_m", {kTiny, 10.0}, lidar.noise_m);
  section.set_number("noise_per_m", {0.0, 1.0}, lidar.noise_per_m);
  section.set_number("range_unit_m", {1e-6, 10.0}, lidar.range_unit_m);
  section.set_number("range_scale", kFactor, lidar.range_scale);
  section.set_number("range_offset_m", kAnyLength_m, lidar.range_offset_m);
  section.set_number("time_offset_s", {-1e11, 1e11}, lidar.time_offset_s);
  section.set_number("clock_rate", kFactor, lidar.clock_rate);
  lidar.blind_deg = blind_sectors(section);
  if (lidar.max_range_m <= lidar.min_range_m) {
    section.fail("max_range_m", fmt::format("is {}, not beyond min_range_m, {}; correct one of them", lidar.max_range_m,
                                            lidar.min_range_m));
  }
  return lidar;
}

}  // namespace

Robot parse_robot_yaml(std::string_view text, const std::string& name, WheelConstants wheel_constants) {
  const YAML::Node node = load_plain_yaml(std::string(text), name);
  if (node.IsNull()) {
    throw InputError(fmt::format("{}: has no content; begin it with the line wainscot_robot: 1", name));
  }
  const RobotSection top(name, "", node);
  check_version(top);
  Robot robot;
  robot.drive = drive_constants(name, top.find("drive"), wheel_constants);
  robot.motion_noise = motion_noise(name, top.find("motion_noise"));
  robot.odometry = odometry_units(name, top.find("odometry"));
  robot.gyro = gyro_constants(name, top.find("gyro"));
  robot.lidar = lidar_constants(name, top.find("lidar"));
  robot.left_out = left_out(robot.drive, top.find("lidar"));
  if (!robot.drive && wheel_constants == WheelConstants::needed) {
    top.fail("drive", "is missing, but wheels.csv needs it; add left_m_per_tick, right_m_per_tick and track_width_m");
  }
  return robot;
}

Robot read_robot_yaml(const std::filesystem::path& path, WheelConstants wheel_constants, std::string* checksum) {
  bool is_link = false;
  const std::string text = read_small_file(path, kLargestRobotFile, checksum, &is_link);
  const std::string name = printable(path.string(), 300);
  try {
    return parse_robot_yaml(text, name, wheel_constants);
  } catch (const InputError&) {
    if (!is_link) throw;
    throw InputError(fmt::format("{}: {}", name, kFaultBehindLink));
  }
}

}  // namespace wainscot
