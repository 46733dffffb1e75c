#pragma once

// What a user wants otherwise in a grid that is handed on: areas where no robot shall go, doors shut or open. The map
// itself keeps its cells.

#include <cstddef>
#include <vector>

#include <Eigen/Core>

#include "core/occupancy_grid.hpp"
#include "io/rooms/door_leaf.hpp"

namespace wainscot {

/// The cells of the frame whose middles lie in the polygon, ascending.
std::vector<std::size_t> cells_within(const GridFrame& frame, const std::vector<Eigen::Vector2d>& corners);

/// Cells that the polygon touches become wall. Returns their number.
std::size_t close_area(OccupancyGrid& grid, const std::vector<Eigen::Vector2d>& corners);

/// Cells on the way from one place to another become wall, two or three cells thick, so that no way leads between.
void close_gap(OccupancyGrid& grid, const Eigen::Vector2d& from_m, const Eigen::Vector2d& to_m);

/// The wall cells of a leaf become free floor, all but those at its hinge.
void take_leaf_away(OccupancyGrid& grid, const DoorLeaf& leaf);

}  // namespace wainscot
