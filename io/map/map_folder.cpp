#include "io/map/map_folder.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <stdexcept>
#include <string>
#include <string_view>
#include <system_error>

#include <fcntl.h>
#include <unistd.h>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/files/descriptor.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/shown.hpp"
#include "io/files/stop_signal.hpp"
#include "io/files/taken_names.hpp"
#include "io/files/whole_file.hpp"
#include "io/files/working_folder.hpp"
#include "io/grid/grid_writer.hpp"
#include "io/map/graph_database.hpp"
#include "io/map/summary_json.hpp"
#include "io/map/trajectory_csv.hpp"
#include "io/page/report_page.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

constexpr std::array<std::string_view, 8> map_files = {"grid.pgm",     "grid.yaml",    "trajectory.csv", "odometry.csv",
                                                       "graph.sqlite", "summary.json", "report.html",    "robot.yaml"};

bool is_map_file(const fs::path& name) {
  return std::find(map_files.begin(), map_files.end(), name.string()) != map_files.end();
}

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

[[noreturn]] void fail(const fs::path& destination, const std::string& reason) {
  throw InputError(fmt::format("{}: cannot be written ({}); choose another --out", shown(destination), reason));
}

void bring_to_disk(const fs::path& file) {
  const Descriptor in(::open(file.c_str(), O_RDONLY | O_CLOEXEC));
  if (!in.valid() || ::fsync(in.number()) != 0) throw std::runtime_error(std::generic_category().message(errno));
}

void write_files(const Map& map, Drives drives, const MapOrigin& origin, const std::string& robot_yaml,
                 const fs::path& folder) {
  const Pose2 first_pose = map.trajectory.empty() ? Pose2{} : map.trajectory.front().pose;
  std::error_code error;
  if (!fs::create_directory(folder, error)) throw std::runtime_error(error.message());
  write_new_file(folder / "grid.pgm", grid_pgm(map.grid));
  write_new_file(folder / "grid.yaml", grid_yaml(map.grid.frame, first_pose, drives, origin));
  write_new_file(folder / "trajectory.csv", trajectory_csv(map.trajectory));
  write_new_file(folder / "odometry.csv", odometry_csv(map.trajectory));
  write_graph_database(map, drives, origin, folder / "graph.sqlite");
  bring_to_disk(folder / "graph.sqlite");
  write_new_file(folder / "summary.json", summary_json(map, drives, origin));
  write_new_file(folder / "report.html", report_page(map, drives, origin));
  if (!robot_yaml.empty()) write_new_file(folder / "robot.yaml", robot_yaml);
}

/// Before long work: whether the file system can do what replacing a map needs.
void require_exchange(const fs::path& destination) {
  const WorkingFolder working(destination);
  const fs::path other = working.made().parent_path() / "other";
  std::error_code error;
  if (!fs::create_directory(working.made(), error) || !fs::create_directory(other, error)) {
    fail(destination, error.message());
  }
  if (exchange_names(other, working.made())) return;
  const bool unknown = errno == EINVAL || errno == ENOSYS;
  fail(destination, unknown ? kNoExchange : std::generic_category().message(errno));
}

/// What came into the old map since one looked is not thrown away with it.
void require_old_map_only(const fs::path& old, const fs::path& destination) {
  try {
    check_name_is_free(old, true);
  } catch (const InputError&) {
    exchange_names(old, destination);
    throw InputError(fmt::format("{}: something has come into it since this began; try again", shown(destination)));
  }
}

}  // namespace

void check_map_destination(const fs::path& folder, bool replace) {
  const fs::path destination = plain_destination(folder);
  remove_what_killed_runs_left(destination);
  check_name_is_free(destination, replace);
  require_outside_maps(destination);
  if (!fs::is_directory(destination.parent_path())) {
    throw InputError(fmt::format("{}: the folder {} does not exist; make it first or choose another --out",
                                 shown(folder), shown(destination.parent_path())));
  }
  if (fs::exists(destination)) {
    require_exchange(destination);
  } else {
    const WorkingFolder probe(destination);
  }
}

void write_map(const Map& map, Drives drives, const MapOrigin& origin, const fs::path& folder, bool replace,
               const std::string& robot_yaml) {
  check_map_destination(folder, replace);
  const fs::path destination = plain_destination(folder);
  const WorkingFolder working(destination);
  try {
    write_files(map, drives, origin, robot_yaml, working.made());
  } catch (const std::runtime_error& error) {
    throw InputError(fmt::format("{}: the map cannot be written ({}); free some space or choose another --out",
                                 shown(destination), error.what()));
  }
  stop_if_asked();
  check_name_is_free(destination, replace);
  take_names({{working.made(), destination, replace}});
  if (fs::exists(working.made())) require_old_map_only(working.made(), destination);
}

}  // namespace wainscot
