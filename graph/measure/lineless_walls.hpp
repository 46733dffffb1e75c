#pragma once

// Walls that the grid shows and no line of wall_lines() does: of a wall that was seen for a moment, from one place or
// at a grazing angle, too few returns lie in one line for a fit, but enough in its cells.

#include <span>
#include <vector>

#include "core/occupancy_grid.hpp"
#include "graph/measure/wall_lines.hpp"

namespace wainscot {

struct LinelessWallOptions {
  double occupied = 0.5;        ///< cells at least so probable are wall
  int reach_cells = 2;          ///< cells so near a line are its own: one to each side of where it may lie
  double least_length_m = 0.2;  ///< smaller groups are legs and edges of things, as in WallLineOptions
};

struct LinelessWalls {
  std::vector<bool> marked;  ///< a value a cell of the grid, row by row
  int groups = 0;            ///< cells that touch one another, also at corners
  double length_m = 0.0;     ///< all groups together, each from the middle of its first cell to that of its last
};

LinelessWalls lineless_walls(const OccupancyGrid& grid, std::span<const WallLine> lines,
                             const LinelessWallOptions& options = {});

}  // namespace wainscot
