#include "apps/compared_side.hpp"

#include <algorithm>
#include <cstddef>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/files/pose_table.hpp"
#include "io/grid/grid_reader.hpp"
#include "io/log/simulated_mark.hpp"
#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

/// The drive of `saved` that was recorded as `drive`, from 1; 0: it is not in the map.
int same_drive(const SavedMap& saved, const Drive& drive) {
  const auto same = std::find_if(saved.drives.begin(), saved.drives.end(),
                                 [&drive](const Drive& other) { return other.checksum == drive.checksum; });
  return same == saved.drives.end() ? 0 : static_cast<int>(same - saved.drives.begin()) + 1;
}

}  // namespace

ComparedSide read_side(const fs::path& path) {
  ComparedSide side;
  side.path = path;
  if (!fs::exists(path)) {
    throw InputError(printable(path.string(), 300) + ": is not there; give the folder of a map, or a table of poses");
  }
  const fs::path plain = path.has_filename() ? path : path.parent_path();  // without a trailing slash
  side.name = printable(plain.filename().string(), 60);
  side.is_map = !fs::is_regular_file(path);
  if (side.is_map) {
    side.rows = read_paths(path);
    side.simulated = is_map_of_simulated_drive(path);
  } else {
    for (const DrivePose& row : read_drive_poses(path)) side.rows.push_back({row.time_s, row.pose, {}, row.drive});
    const fs::path folder = path.parent_path();
    side.simulated =
        is_marked_simulated(folder) || (fs::exists(folder / "grid.yaml") && is_map_of_simulated_drive(folder));
  }
  return side;
}

void choose_drive(ComparedSide& side, int drive) {
  if (!side.is_map && side.drives() == 1) drive = 1;
  if (drive > side.drives()) {
    throw InputError(fmt::format("{}: has no drive {}, only {}; see --drive", printable(side.path.string(), 300), drive,
                                 count_text(static_cast<std::size_t>(side.drives()), "drive")));
  }
  side.drive = drive;
  for (const TrajectoryRow& row : side.rows) {
    if (row.drive != drive) continue;
    side.found.push_back({row.time_s, row.pose});
    if (side.is_map) side.odometry.push_back({row.time_s, row.odometry});
  }
}

bool choose_common_drive(ComparedSide& first, ComparedSide& second, int asked) {
  const std::vector<Drive>& drives = first.graph->drives;
  const int begin = asked > 0 ? asked : 1;
  const int end = asked > 0 ? asked : static_cast<int>(drives.size());
  for (int drive = begin; drive <= std::min(end, static_cast<int>(drives.size())); ++drive) {
    const int other = same_drive(*second.graph, drives[static_cast<std::size_t>(drive) - 1]);
    if (other == 0) continue;
    choose_drive(first, drive);
    choose_drive(second, other);
    return true;
  }
  choose_drive(first, begin);
  choose_drive(second, 1);
  return false;
}

}  // namespace wainscot
