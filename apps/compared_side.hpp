#pragma once

// What `compare` is given twice: a map's folder or a table of poses, and the drive of it whose path is compared.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "graph/map.hpp"
#include "io/map/map_reader.hpp"

namespace wainscot {

/// One side of the comparison: a map's folder, or a table of poses.
struct ComparedSide {
  std::filesystem::path path;
  std::string name;  ///< for people
  bool is_map = false;
  bool simulated = false;
  std::vector<TrajectoryRow> rows;  ///< of all drives; a table's poses are `pose`
  std::optional<SavedMap> graph;    ///< of a map, where two are compared
  int drive = 1;                    ///< whose path is compared: see `choose_drive`
  std::vector<TimedPose> found;     ///< its poses, or the table's
  std::vector<TimedPose> odometry;  ///< of a map

  int drives() const { return rows.empty() ? 1 : rows.back().drive; }
};

/// All of it but `graph` and what `choose_drive` sets. Throws `InputError`.
ComparedSide read_side(const std::filesystem::path& path);

/// Sets the path that is compared. A table of one drive has the path, whatever its number. `drive`: from 1. Throws
/// `InputError` where the map has no such drive.
void choose_drive(ComparedSide& side, int drive);

/// Of two maps, their graphs read: a drive that is in both, the one asked for (0: none was) or the first. False: there
/// is none; then each has the one asked for or its first. Throws `InputError`.
bool choose_common_drive(ComparedSide& first, ComparedSide& second, int asked);

}  // namespace wainscot
