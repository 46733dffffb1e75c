#pragma once

#include <optional>
#include <vector>

#include <Eigen/Core>

#include "graph/measure/tape.hpp"

namespace wainscot {

/// Two tapes through a point of a room, along its walls; nullopt: on one side there is no wall within 15 m.
struct RoomTapes {
  std::optional<Tape> width;  ///< the one nearer to the map's x axis
  std::optional<Tape> depth;
};

/// From the point to the nearest pieces of wall that look at it, in the direction that the walls around have
/// (graph/mapping/wall_direction.hpp) and at right angles to it. A face of 0.6 m or
/// more is a wall too, whatever it belongs to.
RoomTapes room_tapes(const std::vector<WallPiece>& pieces, const Eigen::Vector2d& point);

}  // namespace wainscot
