#pragma once

// A map's folder back in memory, for the commands that use a map (io/map/map_folder.hpp writes it).
//
//   const wainscot::SavedMap saved = wainscot::read_map("house");
//   for (const wainscot::WallPiece& piece : saved.map.wall_pieces) use(piece.middle_m, piece.sd_m);

#include <filesystem>
#include <vector>

#include "core/drive.hpp"
#include "graph/map.hpp"
#include "io/map_origin.hpp"

namespace wainscot {

struct SavedMap {
  /// Grid (to 1/510), trajectory (to a micrometre), graph, candidates, constants, wall pieces and used tapes. Quality,
  /// changes and warnings are not read back: summary.json has them for people and machines.
  Map map;
  /// What was recorded, drive 1 first, but of the scans those of the nodes only, to which `Node::scan` counts.
  std::vector<Drive> drives;
  MapOrigin origin;
};

/// Reads a map's folder. Throws `InputError` where it is not a map, incomplete, damaged, or made by a newer or a much
/// older program, where its parts contradict one another, and where a part is not a plain file in the folder.
SavedMap read_map(const std::filesystem::path& folder);

/// The paths of a map's drives, from trajectory.csv and odometry.csv, sorted by drive and time. Throws `InputError`.
std::vector<TrajectoryRow> read_paths(const std::filesystem::path& folder);

/// The grid of a map whose paths were read: they lie on it, or near it. Throws `InputError`.
OccupancyGrid read_grid_of(const std::filesystem::path& folder, const std::vector<TrajectoryRow>& paths);

/// What is in graph.sqlite alone: all but the trajectory, and of the grid the size of a cell only. Throws `InputError`.
SavedMap read_graph(const std::filesystem::path& folder);

}  // namespace wainscot
