#include "io/log/drive_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <system_error>
#include <utility>

#include "core/errors.hpp"
#include "core/nearest_name.hpp"
#include "io/files/file_reader.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/shown.hpp"
#include "io/log/gyro_reader.hpp"
#include "io/log/hint_reader.hpp"
#include "io/log/line_reader.hpp"
#include "io/log/marker_reader.hpp"
#include "io/log/odometry_reader.hpp"
#include "io/log/return_reader.hpp"
#include "io/log/scan_reader.hpp"
#include "io/robot/robot_yaml.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

const std::vector<std::string>& file_names() {
  static const std::vector<std::string> names = {"robot.yaml",   "wheels.csv",   "odometry.csv", "scans.csv",
                                                 "returns.csv",  "gyro.csv",     "markers.csv",  "marker_map.csv",
                                                 "followed.csv", "line_map.csv", "hints.csv",    "truth.csv"};
  return names;
}

bool is_known(const std::string& name) {
  return std::find(file_names().begin(), file_names().end(), name) != file_names().end();
}

// The folder's files, what was read of them, and their checksums.
class Folder {
 public:
  Folder(fs::path path, const ReadProgress& progress) : path_(std::move(path)), progress_(progress) {
    std::error_code error;
    if (!fs::is_directory(path_, error)) {
      throw InputError(fmt::format("{}: is not a folder; give the folder of a recorded drive", shown()));
    }
    if (is_map_folder(path_)) {
      throw InputError(fmt::format("{}: is the folder of a map; give the folder of a recorded drive", shown()));
    }
    for (fs::directory_iterator it(path_, error), end; !error && it != end; it.increment(error)) {
      std::error_code size_error;
      const std::uintmax_t size = it->file_size(size_error);
      if (!size_error && is_known(it->path().filename().string())) total_bytes_ += size;
      names_.push_back(it->path().filename().string());
    }
    if (error) throw InputError(fmt::format("{}: cannot be listed; check the permissions", shown()));
    std::sort(names_.begin(), names_.end());
  }

  // A warning for each file that is not read but whose name is nearly that of one that would be.
  std::vector<std::string> unread_files() const { return misnamed(file_names()); }

  // The same for files that are probably meant to be one of `wanted`.
  std::vector<std::string> misnamed(const std::vector<std::string>& wanted) const {
    std::vector<std::string> warnings;
    for (const std::string& name : names_) {
      const std::string& known = file_names()[nearest_name(name, file_names())];
      if (is_known(name) || edit_distance(name, known) > 2) continue;
      if (std::find(wanted.begin(), wanted.end(), known) == wanted.end()) continue;
      warnings.push_back(fmt::format("{}: is not read; if it is meant to be {}, rename it", shown(name), known));
    }
    return warnings;
  }

  bool has(const std::string& name) const { return std::binary_search(names_.begin(), names_.end(), name); }

  std::string shown(const std::string& name = {}) const { return wainscot::shown(name.empty() ? path_ : path_ / name); }

  // Runs `read` on the file and notes the checksum of what it read.
  template <typename Read>
  auto read(const std::string& name, Read read) {
    FileReader file(path_ / name, [this](std::size_t bytes) { count(bytes); });
    auto result = read(file);
    checksums_[name] = file.checksum();
    return result;
  }

  Robot read_robot(WheelConstants wheel_constants) {
    const std::vector<std::string> unread = misnamed({"robot.yaml"});
    if (!has("robot.yaml") && !unread.empty()) throw InputError(unread.front());
    if (!has("robot.yaml")) {
      throw InputError(fmt::format(
          "{}: is not there; write the robot's measures into it, or the line wainscot_robot: 1 alone, and build finds "
          "the measures from the drive",
          shown("robot.yaml")));
    }
    return read_robot_yaml(path_ / "robot.yaml", wheel_constants, &checksums_["robot.yaml"]);
  }

  // Of all that a map is made from, in the form that sha256sum prints: the truth is not part of it.
  std::string checksum() const {
    std::string lines;
    for (const auto& [name, digest] : checksums_) {
      if (name != "truth.csv") lines += fmt::format("{}  {}\n", digest, name);
    }
    return sha256(lines);
  }

 private:
  void count(std::size_t bytes) {
    done_bytes_ += bytes;
    if (progress_ && total_bytes_ > 0) {
      progress_(std::min(1.0, static_cast<double>(done_bytes_) / static_cast<double>(total_bytes_)));
    }
  }

  fs::path path_;
  const ReadProgress& progress_;
  std::vector<std::string> names_;  // sorted
  std::uintmax_t total_bytes_ = 0;
  std::uintmax_t done_bytes_ = 0;
  std::map<std::string, std::string> checksums_;
};

// Which of two files that exclude each other is there, "" for neither: a name that is nearly one of them may be meant
// to be read or not to be.
std::string one_of(const Folder& folder, const std::string& first, const std::string& second) {
  if (folder.has(first) && folder.has(second)) {
    throw InputError(
        fmt::format("{}: {} and {} are both there, but only one may be; remove the one that should not be used",
                    folder.shown(), first, second));
  }
  if (folder.has(first)) return first;
  return folder.has(second) ? second : std::string();
}

struct TimeRange {
  std::string file;
  double first_s;
  double last_s;
};

template <typename Row>
TimeRange time_range(const std::string& file, const std::vector<Row>& rows) {
  return {file, rows.front().time_s, rows.back().time_s};
}

// What to do where one of two tables counts time in a smaller unit; "" where their lengths do not say so.
std::string unit_advice(const TimeRange& a, const TimeRange& b) {
  const double ratio = (a.last_s - a.first_s) / (b.last_s - b.first_s);
  constexpr double kAlike = 2.0;  // two tables of one drive begin and end within seconds of each other
  for (const auto& [unit, name] : {std::pair{1e3, "milliseconds"}, std::pair{1e6, "microseconds"}}) {
    const bool first = ratio > unit / kAlike && ratio < unit * kAlike;
    const bool second = ratio > 1.0 / (unit * kAlike) && ratio < kAlike / unit;
    if (first || second) {
      return fmt::format("{} lasts {:.0f} times as long: divide its time_s by {:.0f} if they are {}",
                         first ? a.file : b.file, unit, unit, name);
    }
  }
  return {};
}

// Tables of different times cannot be related, unless one of them counts in another unit: `check` then says so.
void require_overlap(const TimeRange& a, const TimeRange& b, const std::string& advice,
                     std::vector<std::string>& warnings) {
  if (a.first_s <= b.last_s && b.first_s <= a.last_s) return;
  const std::string unit = unit_advice(a, b);
  const std::string message =
      fmt::format("{}: its times, {:.3f} to {:.3f} s, do not overlap those of {}, {:.3f} to {:.3f} s; {}", a.file,
                  a.first_s, a.last_s, b.file, b.first_s, b.last_s, unit.empty() ? advice : unit);
  if (unit.empty()) throw InputError(message);
  warnings.push_back(message);
}

// The wheels' counts or the robot's own poses; returns their times, if there are any.
std::optional<TimeRange> read_motion(Folder& folder, const std::string& name, Drive& drive) {
  if (name.empty()) return std::nullopt;
  if (name == "wheels.csv") {
    WheelLog log =
        folder.read(name, [&](FileReader& file) { return read_wheels(file, *drive.robot.drive, drive.warnings); });
    drive.wheels = std::move(log.counts);
    drive.breaks = std::move(log.breaks);
    if (log.guessed_m_per_tick > 0.0) {
      constexpr double kGuessedWidth_m = 0.25;  // of hobby robots, to a factor of two
      drive.robot.drive->left_m_per_tick = drive.robot.drive->right_m_per_tick = log.guessed_m_per_tick;
      drive.robot.drive->track_width_m = kGuessedWidth_m;
    }
    return time_range(folder.shown(name), drive.wheels);
  }
  PoseLog log =
      folder.read(name, [&](FileReader& file) { return read_odometry(file, drive.robot.odometry, drive.warnings); });
  drive.odometry = std::move(log.poses);
  drive.breaks = std::move(log.breaks);
  return time_range(folder.shown(name), drive.odometry);
}

TimeRange read_lidar(Folder& folder, const std::string& name, Drive& drive) {
  drive.scans = folder.read(name, [&](FileReader& file) {
    return name == "scans.csv" ? read_scans(file, drive.robot.lidar, drive.warnings)
                               : read_returns(file, drive.robot.lidar, drive.warnings);
  });
  TimeRange range = time_range(folder.shown(name), drive.scans);
  constexpr double kSlowest_s = 3.0;
  const double mean_s =
      (range.last_s - range.first_s) / static_cast<double>(std::max<std::size_t>(drive.scans.size(), 2) - 1);
  if (mean_s > kSlowest_s) {
    drive.warnings.push_back(
        fmt::format("{}: the scans are {:.3g} s apart on average; if the log's times are in "
                    "milliseconds, write seconds",
                    range.file, mean_s));
  }
  return range;
}

// Such as marker_map.csv: what it holds lies where markers.csv says that the robot saw it.
std::string useless_without(const std::string& survey, const char* log, const char* what) {
  return fmt::format(
      "{}: nothing can be made from it without {}, which says {}; the map is the same without "
      "it",
      survey, log, what);
}

void read_lines(Folder& folder, const TimeRange& motion, Drive& drive) {
  if (folder.has("followed.csv")) {
    drive.followed = folder.read("followed.csv", [&](FileReader& file) { return read_followed(file, drive.warnings); });
    const auto last = std::max_element(drive.followed.begin(), drive.followed.end(),
                                       [](const auto& a, const auto& b) { return a.to_s < b.to_s; });
    require_overlap({folder.shown("followed.csv"), drive.followed.front().from_s, last->to_s}, motion,
                    "log all files by one clock", drive.warnings);
  }
  if (!folder.has("line_map.csv")) return;
  drive.line_map = folder.read("line_map.csv", [&](FileReader& file) { return read_line_map(file, drive.warnings); });
  if (folder.has("followed.csv")) return;
  drive.warnings.push_back(
      useless_without(folder.shown("line_map.csv"), "followed.csv", "when the robot followed the lines"));
}

// The files that may be left out.
void read_optional_files(Folder& folder, const TimeRange& motion, const TimeRange& lidar, Drive& drive) {
  const std::string one_clock = "log all files by one clock";
  std::vector<std::string>& warnings = drive.warnings;
  if (folder.has("gyro.csv")) {
    drive.gyro =
        folder.read("gyro.csv", [&](FileReader& file) { return read_gyro(file, drive.robot.gyro.scale, warnings); });
    require_overlap(time_range(folder.shown("gyro.csv"), drive.gyro), motion, one_clock, warnings);
  }
  if (folder.has("markers.csv")) {
    drive.markers = folder.read("markers.csv", [&](FileReader& file) { return read_markers(file, warnings); });
    require_overlap(time_range(folder.shown("markers.csv"), drive.markers), motion, one_clock, warnings);
  }
  if (folder.has("marker_map.csv")) {
    drive.marker_map = folder.read("marker_map.csv", [&](FileReader& file) { return read_marker_map(file, warnings); });
  }
  if (folder.has("hints.csv")) {
    drive.hints = folder.read(
        "hints.csv", [&](FileReader& file) { return read_hints(file, lidar.first_s, lidar.last_s, warnings); });
  }
  if (folder.has("marker_map.csv") && !folder.has("markers.csv")) {
    warnings.push_back(
        useless_without(folder.shown("marker_map.csv"), "markers.csv", "where the robot saw the markers"));
  }
  read_lines(folder, motion, drive);
  if (folder.has("truth.csv")) {
    drive.truth = folder.read("truth.csv", [&](FileReader& file) { return read_truth(file, warnings); });
    require_overlap(time_range(folder.shown("truth.csv"), drive.truth), motion, one_clock, warnings);
  }
}

}  // namespace

Drive read_drive(const std::filesystem::path& path, const ReadProgress& progress, const RobotCorrection& change,
                 LidarLog lidar_log) {
  Folder folder(path, progress);
  Drive drive;
  drive.name = folder_name(path);
  drive.warnings = folder.unread_files();
  const std::string motion = one_of(folder, "wheels.csv", "odometry.csv");
  const std::string lidar = one_of(folder, "scans.csv", "returns.csv");
  if (lidar.empty() && (lidar_log == LidarLog::needed || motion.empty())) {
    const std::vector<std::string> unread = folder.misnamed({"scans.csv", "returns.csv"});
    if (!unread.empty()) throw InputError(unread.front());
    throw InputError(fmt::format("{}: neither scans.csv nor returns.csv is there; record the lidar", folder.shown()));
  }
  drive.robot = folder.read_robot(motion == "wheels.csv" ? WheelConstants::findable : WheelConstants::optional);
  if (change) change(drive.robot);
  const std::optional<TimeRange> motion_times = read_motion(folder, motion, drive);
  std::optional<TimeRange> lidar_times;
  if (!lidar.empty()) lidar_times = read_lidar(folder, lidar, drive);
  if (motion_times && lidar_times) {
    require_overlap(*lidar_times, *motion_times, "log both by one clock, or set lidar.time_offset_s in robot.yaml",
                    drive.warnings);
  }
  // One of the two is there.
  const TimeRange& any_times = motion_times ? *motion_times : *lidar_times;
  read_optional_files(folder, any_times, lidar_times.value_or(any_times), drive);
  drive.checksum = folder.checksum();
  return drive;
}

}  // namespace wainscot
