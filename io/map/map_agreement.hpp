#pragma once

// Whether the parts of a map's folder are of one map.

#include <filesystem>
#include <span>

#include "core/occupancy_grid.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// Throws `InputError`, with both figures, where a path leaves the grid by more than the robot's lidar can see,
/// `farthest_return_m`: no scan of that path could have made the grid.
void require_path_on_grid(const GridFrame& grid, std::span<const TrajectoryRow> rows, double farthest_return_m,
                          const std::filesystem::path& map_folder);

/// Throws `InputError`, with both figures, where nodes or pieces of wall of graph.sqlite leave the grid so far, or
/// where a node stands elsewhere than the path was at its time. `map`: its trajectory sorted by drive and time.
void require_graph_on_map(const Map& map, double farthest_return_m, const std::filesystem::path& map_folder);

}  // namespace wainscot
