#include "io/files/folder_kind.hpp"

#include <string>
#include <string_view>
#include <system_error>

#include <fmt/format.h>

#include "io/files/plain_file.hpp"
#include "io/files/shown.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

bool has(const fs::path& folder, const char* name) {
  std::error_code error;
  return fs::exists(folder / name, error);
}

}  // namespace

bool is_map_folder(const fs::path& folder) {
  constexpr std::string_view kBegin = "wainscot_map:";
  return file_start(folder / "grid.yaml", kBegin.size()) == kBegin;
}

bool is_drive_folder(const fs::path& folder) {
  if (has(folder, "grid.yaml") || has(folder, "graph.sqlite")) return false;
  return has(folder, "robot.yaml") || has(folder, "scans.csv") || has(folder, "returns.csv");
}

void require_map_folder(const fs::path& folder) {
  std::error_code error;
  if (!fs::exists(folder, error)) {
    throw InputError(shown(folder) + ": is not there; give the folder of a map that wainscot build wrote");
  }
  if (!fs::is_directory(folder, error)) {
    throw InputError(shown(folder) + ": is a file; give the folder of a map that wainscot build wrote");
  }
  // A folder that may not be entered would seem to be empty.
  const fs::file_status entered = fs::symlink_status(folder / "grid.yaml", error);
  if (!fs::status_known(entered) && error == std::errc::permission_denied) {
    throw InputError(fmt::format("{}: cannot be opened ({}); check the permissions", shown(folder), error.message()));
  }
  if (is_drive_folder(folder)) {
    throw InputError(
        fmt::format("{}: is the folder of a drive, not of a map; make a map of it with wainscot build and give that",
                    shown(folder)));
  }
  if (!has(folder, "grid.yaml") && !has(folder, "graph.sqlite")) {
    throw InputError(shown(folder) + ": has no grid.yaml, so it is no map; give the folder that wainscot build wrote");
  }
  for (const char* name : {"grid.yaml", "grid.pgm", "trajectory.csv", "odometry.csv"}) {
    if (!has(folder, name)) throw InputError(shown(folder / name) + ": is missing from the map; build the map again");
    plain_file(folder, name);
  }
}

std::string sidecar_text(const fs::path& map_folder) {
  constexpr std::size_t kMostBytes = 1'000'000;  // 2,000 drives of 500 bytes; a drive's line has some 120
  return read_plain_file(map_folder, "grid.yaml", kMostBytes);
}

InputError other_form(const fs::path& file, int form, int known) {
  if (form > known) {
    return InputError(fmt::format("{}: is of a newer form ({}) than this program reads ({}); update the program",
                                  shown(file), form, known));
  }
  return InputError(
      fmt::format("{}: is of an older form ({}) than this program reads ({}); renew the map from its drive: wainscot "
                  "build DRIVE --out {} --replace",
                  shown(file), form, known, shell_word(shown(file.parent_path()))));
}

void require_outside_maps(const fs::path& file) {
  std::error_code error;
  for (fs::path folder = fs::weakly_canonical(fs::absolute(file), error).parent_path(); !folder.empty();
       folder = folder.parent_path()) {
    if (is_map_folder(folder)) {
      throw InputError(
          fmt::format("{}: would lie in the folder of the map {}, which holds that map's files only; choose "
                      "a name outside of it",
                      shown(file), shown(folder.filename())));
    }
    if (folder == folder.root_path()) break;
  }
}

}  // namespace wainscot
