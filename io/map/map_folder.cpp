#include "io/map/map_folder.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdio>
#include <stdexcept>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/shown.hpp"
#include "io/files/whole_file.hpp"
#include "io/grid/grid_writer.hpp"
#include "io/map/graph_database.hpp"
#include "io/map/summary_json.hpp"
#include "io/map/trajectory_csv.hpp"
#include "io/page/report_page.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

constexpr std::array<std::string_view, 7> map_files = {"grid.pgm",     "grid.yaml",    "trajectory.csv", "odometry.csv",
                                                       "graph.sqlite", "summary.json", "report.html"};

bool is_map_file(const fs::path& name) {
  return std::find(map_files.begin(), map_files.end(), name.string()) != map_files.end();
}

/// A path as messages name it: on one line whatever its bytes.
std::string errno_text() { return std::generic_category().message(errno); }

/// Closes itself.
class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  Descriptor(Descriptor&& other) noexcept : number_(std::exchange(other.number_, -1)) {}
  Descriptor& operator=(Descriptor&&) = delete;
  ~Descriptor() {
    if (number_ >= 0) ::close(number_);
  }
  int number() const { return number_; }
  bool valid() const { return number_ >= 0; }

 private:
  int number_;
};

Descriptor open_folder(const fs::path& folder) {
  return Descriptor(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
}

bool lock_now(const Descriptor& folder) { return folder.valid() && ::flock(folder.number(), LOCK_EX | LOCK_NB) == 0; }

/// The destination without trailing slash, dots or links, so that its name and its parent are what they seem.
fs::path plain_destination(const fs::path& folder) {
  if (folder.empty()) throw InputError("the name of the map's folder is empty; give a name as --out");
  std::error_code error;
  fs::path plain = fs::weakly_canonical(folder, error);
  if (error) throw InputError(fmt::format("{}: {}; choose another --out", shown(folder), error.message()));
  if (!plain.has_filename()) plain = plain.parent_path();  // a trailing slash
  if (plain.is_relative()) plain = fs::absolute(plain);
  if (!plain.has_filename()) throw InputError(fmt::format("{}: is not a name for a map's folder", shown(folder)));
  return plain;
}

void check_name_is_free(const fs::path& folder, bool replace) {
  std::error_code error;
  if (!fs::exists(fs::symlink_status(folder, error))) return;
  if (!fs::is_directory(folder, error) || !is_map_folder(folder)) {
    throw InputError(
        fmt::format("{}: exists and is not a map that wainscot wrote; choose another --out", shown(folder)));
  }
  for (const auto& entry : fs::directory_iterator(folder, error)) {
    if (!is_map_file(entry.path().filename())) {
      throw InputError(fmt::format(
          "{}: is not a file of the map that it stands in; move it away or choose another --out", shown(entry.path())));
    }
  }
  if (error) throw InputError(fmt::format("{}: {}; choose another --out", shown(folder), error.message()));
  if (!replace) {
    throw InputError(
        fmt::format("{}: is a map already; give --replace to replace it, or choose another --out", shown(folder)));
  }
}

std::string working_prefix(const fs::path& folder) { return fmt::format(".{}.writing-", folder.filename().string()); }

/// Removes a working folder and the map's files in it, nothing else.
void remove_working_folder(const fs::path& folder) {
  std::error_code ignored;
  for (const std::string_view name : map_files) fs::remove(folder / name, ignored);
  fs::remove(folder, ignored);
}

/// Removes what killed runs left beside `folder`. A folder that another run is writing is locked and stays.
void remove_stale_working_folders(const fs::path& folder) {
  const std::string prefix = working_prefix(folder);
  std::error_code error;
  for (const auto& entry : fs::directory_iterator(folder.parent_path(), error)) {
    if (entry.path().filename().string().rfind(prefix, 0) != 0) continue;
    const Descriptor stale = open_folder(entry.path());
    if (lock_now(stale)) remove_working_folder(entry.path());
  }
}

/// A locked, empty folder beside the destination, removed with all map files in it when it goes out of scope.
class WorkingFolder {
 public:
  explicit WorkingFolder(const fs::path& destination) : path_(make(destination)), lock_(open_folder(path_)) {
    // Between making and locking, another run may have taken the folder for a stale one; its name is then gone.
    struct stat by_name {};
    if (!lock_now(lock_) || ::stat(path_.c_str(), &by_name) != 0) {
      throw InputError(fmt::format("{}: another run is writing here; try again", shown(destination)));
    }
  }
  WorkingFolder(const WorkingFolder&) = delete;
  WorkingFolder& operator=(const WorkingFolder&) = delete;
  ~WorkingFolder() { remove_working_folder(path_); }
  const fs::path& path() const { return path_; }

 private:
  static fs::path make(const fs::path& destination) {
    std::string pattern = (destination.parent_path() / (working_prefix(destination) + "XXXXXX")).string();
    if (::mkdtemp(pattern.data()) == nullptr) {
      throw InputError(
          fmt::format("{}: cannot be written ({}); choose another --out", shown(destination), errno_text()));
    }
    // mkdtemp lets nobody but the owner in; a map is as open as any new folder.
    const mode_t mask = ::umask(0);
    ::umask(mask);
    ::chmod(pattern.c_str(), 0777 & ~mask);
    return pattern;
  }

  fs::path path_;
  Descriptor lock_;
};

void bring_to_disk(const fs::path& file) {
  const Descriptor in(::open(file.c_str(), O_RDONLY | O_CLOEXEC));
  if (!in.valid() || ::fsync(in.number()) != 0) throw std::runtime_error(errno_text());
}

/// As far as the file system can: some know no fsync of a folder, and it need not be readable.
void bring_folder_to_disk(const fs::path& folder) {
  const Descriptor in = open_folder(folder);
  if (in.valid()) ::fsync(in.number());
}

void write_files(const Map& map, Drives drives, const MapOrigin& origin, const fs::path& folder) {
  const Pose2 first_pose = map.trajectory.empty() ? Pose2{} : map.trajectory.front().pose;
  write_new_file(folder / "grid.pgm", grid_pgm(map.grid));
  write_new_file(folder / "grid.yaml", grid_yaml(map.grid.frame, first_pose, drives, origin));
  write_new_file(folder / "trajectory.csv", trajectory_csv(map.trajectory));
  write_new_file(folder / "odometry.csv", odometry_csv(map.trajectory));
  write_graph_database(map, drives, origin, folder / "graph.sqlite");
  bring_to_disk(folder / "graph.sqlite");
  write_new_file(folder / "summary.json", summary_json(map, drives, origin));
  write_new_file(folder / "report.html", report_page(map, drives, origin));
  bring_folder_to_disk(folder);
}

/// Gives the working folder the destination's name in one step. After an exchange the working folder holds the old map.
void take_name(const fs::path& working, const fs::path& destination) {
  // A plain rename never replaces a folder that has something in it.
  const bool exchange = fs::exists(destination);
  const int result = exchange ? ::renameat2(AT_FDCWD, working.c_str(), AT_FDCWD, destination.c_str(), RENAME_EXCHANGE)
                              : ::rename(working.c_str(), destination.c_str());
  if (result == 0) return;
  if (exchange && (errno == EINVAL || errno == ENOSYS)) {
    throw InputError(
        fmt::format("{}: this file system cannot exchange two folders in one step; choose a new name as --out",
                    shown(destination)));
  }
  throw InputError(fmt::format("{}: cannot be written ({}); choose another --out", shown(destination), errno_text()));
}

}  // namespace

void check_map_destination(const fs::path& folder, bool replace) {
  const fs::path destination = plain_destination(folder);
  check_name_is_free(destination, replace);
  require_outside_maps(destination);
  if (!fs::is_directory(destination.parent_path())) {
    throw InputError(fmt::format("{}: the folder {} does not exist; make it first or choose another --out",
                                 shown(folder), shown(destination.parent_path())));
  }
  remove_stale_working_folders(destination);
  const WorkingFolder working(destination);
}

void write_map(const Map& map, Drives drives, const MapOrigin& origin, const fs::path& folder, bool replace) {
  check_map_destination(folder, replace);
  const fs::path destination = plain_destination(folder);
  const WorkingFolder working(destination);
  try {
    write_files(map, drives, origin, working.path());
  } catch (const std::runtime_error& error) {
    throw InputError(fmt::format("{}: the map cannot be written ({}); free some space or choose another --out",
                                 shown(destination), error.what()));
  }
  take_name(working.path(), destination);
  bring_folder_to_disk(destination.parent_path());
}

}  // namespace wainscot
