#pragma once

// Which way the walls of a house run.

#include <optional>
#include <vector>

#include "graph/map.hpp"

namespace wainscot {

struct WallDirection {
  double direction_rad = 0.0;  ///< of the walls in the map's frame, in [0, pi / 2): walls at right angles count as one
  double share = 0.0;          ///< of the walls' length, the part within 5 degrees of it
};

/// The direction that most wall has, each piece weighted by its length. nullopt: there are no pieces.
std::optional<WallDirection> wall_direction(const std::vector<WallPiece>& pieces);

}  // namespace wainscot
