#pragma once

// How large the rooms are, and where their borders run.

#include <cstddef>
#include <span>
#include <vector>

#include <Eigen/Core>

#include "core/occupancy_grid.hpp"
#include "graph/measure/wall_lines.hpp"
#include "io/rooms/open_floor.hpp"
#include "io/rooms/room_labels.hpp"

namespace wainscot {

/// What all faces of a map have in common.
struct MapUncertainty {
  double scale_sd = 0.0;           ///< relative, of all lengths
  double range_offset_sd_m = 0.0;  ///< of the lidar: puts all faces further off, or nearer
};

/// The floor of a room that is free in the lidar's plane; things smaller than `least_wall_m` count as free.
struct RoomFloor {
  double area_m2 = 0.0;
  double sd_m2 = 0.0;                    ///< standard uncertainty
  double border_m = 0.0;                 ///< of all borders, those around things in the room too
  double by_faces_m = 0.0;               ///< of these, along fitted faces; elsewhere the border is that of the cells
  double unseen_m = 0.0;                 ///< where the floor ends at cells that were never seen
  double to_rooms_m = 0.0;               ///< where it goes on into other rooms
  Eigen::Vector2d widest_m{0.0, 0.0};    ///< the place farthest from the walls
  std::vector<Eigen::Vector2d> outline;  ///< the outer border, counter-clockwise, simplified to half a cell
};

/// Of each room with a name. Cells are counted, and what lies between them and the wall is added: to the face of the
/// wall line that stands there, else half a cell, since a face lies anywhere in the cell that it makes wall.
std::vector<RoomFloor> room_floors(const OpenFloor& floor, const RoomLabels& labels, const OccupancyGrid& grid,
                                   std::span<const WallLine> walls, const MapUncertainty& uncertainty);

}  // namespace wainscot
