#pragma once

#include <vector>

#include "graph/measure/wall_face_fit.hpp"
#include "io/map/map_reader.hpp"

namespace wainscot {

/// The returns with a normal of each node of a map that was read back, in the map's frame; index: the node.
std::vector<std::vector<PlacedReturn>> placed_returns(const Map& map, const std::vector<Drive>& drives);

}  // namespace wainscot
