#include "io/drive_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <system_error>
#include <utility>

#include "core/errors.hpp"
#include "io/file_reader.hpp"
#include "io/odometry_reader.hpp"
#include "io/robot_yaml.hpp"
#include "io/scan_reader.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

// The folder's files, what was read of them, and their checksums.
class Folder {
 public:
  Folder(fs::path path, const ReadProgress& progress) : path_(std::move(path)), progress_(progress) {
    std::error_code error;
    if (!fs::is_directory(path_, error)) {
      throw InputError(fmt::format("{}: is not a folder; give the folder of a recorded drive", shown()));
    }
    for (fs::directory_iterator it(path_, error), end; !error && it != end; it.increment(error)) {
      std::error_code size_error;
      const std::uintmax_t size = it->file_size(size_error);
      if (!size_error && it->path().extension() == ".csv") total_bytes_ += size;
    }
    if (error) throw InputError(fmt::format("{}: cannot be listed; check the permissions", shown()));
  }

  bool has(const std::string& name) const {
    std::error_code error;
    return fs::exists(path_ / name, error);
  }

  std::string shown(const std::string& name = {}) const {
    return printable((name.empty() ? path_ : path_ / name).string(), 300);
  }

  // Runs `read` on the file and notes the checksum of what it read.
  template <typename Read>
  auto read(const std::string& name, Read read) {
    FileReader file(path_ / name, [this](std::size_t bytes) { count(bytes); });
    auto result = read(file);
    checksums_[name] = file.checksum();
    return result;
  }

  Robot read_robot(WheelConstants wheel_constants) {
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
  std::uintmax_t total_bytes_ = 0;
  std::uintmax_t done_bytes_ = 0;
  std::map<std::string, std::string> checksums_;
};

// Which of two files that exclude each other is there.
std::string one_of(const Folder& folder, const std::string& first, const std::string& second, const std::string& what) {
  if (folder.has(first) && folder.has(second)) {
    throw InputError(
        fmt::format("{}: {} and {} are both there, but only one may be; remove the one that should not be used",
                    folder.shown(), first, second));
  }
  if (folder.has(first)) return first;
  if (folder.has(second)) return second;
  throw InputError(fmt::format("{}: neither {} nor {} is there; record {}", folder.shown(), first, second, what));
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

void require_overlap(const TimeRange& a, const TimeRange& b, const std::string& advice) {
  if (a.first_s <= b.last_s && b.first_s <= a.last_s) return;
  throw InputError(fmt::format("{}: its times, {:.3f} to {:.3f} s, do not overlap those of {}, {:.3f} to {:.3f} s; {}",
                               a.file, a.first_s, a.last_s, b.file, b.first_s, b.last_s, advice));
}

std::string folder_name(const fs::path& folder) {
  std::error_code error;
  const fs::path whole = fs::weakly_canonical(folder, error);
  return printable((error ? folder : whole).filename().string(), 100);
}

}  // namespace

Drive read_drive(const std::filesystem::path& path, const ReadProgress& progress) {
  Folder folder(path, progress);
  Drive drive;
  drive.name = folder_name(path);
  std::vector<std::string>& warnings = drive.warnings;
  const std::string motion =
      one_of(folder, "wheels.csv", "odometry.csv", "the wheels' counts or the robot's own poses");
  const std::string lidar = one_of(folder, "scans.csv", "returns.csv", "the lidar");
  const bool wheels = motion == "wheels.csv";
  drive.robot = folder.read_robot(wheels ? WheelConstants::needed : WheelConstants::optional);

  TimeRange motion_range;
  if (wheels) {
    WheelLog log =
        folder.read(motion, [&](FileReader& file) { return read_wheels(file, *drive.robot.drive, warnings); });
    drive.wheels = std::move(log.counts);
    drive.breaks = std::move(log.breaks);
    motion_range = time_range(folder.shown(motion), drive.wheels);
  } else {
    PoseLog log = folder.read(motion, [&](FileReader& file) { return read_odometry(file, warnings); });
    drive.odometry = std::move(log.poses);
    drive.breaks = std::move(log.breaks);
    motion_range = time_range(folder.shown(motion), drive.odometry);
  }
  drive.scans = folder.read(lidar, [&](FileReader& file) { return read_scans(file, drive.robot.lidar, warnings); });
  require_overlap(time_range(folder.shown(lidar), drive.scans), motion_range,
                  "log both by one clock, or set lidar.time_offset_s in robot.yaml");
  if (folder.has("truth.csv")) {
    drive.truth = folder.read("truth.csv", [&](FileReader& file) { return read_truth(file, warnings); });
    require_overlap(time_range(folder.shown("truth.csv"), drive.truth), motion_range, "log both by one clock");
  }
  drive.checksum = folder.checksum();
  return drive;
}

}  // namespace wainscot
