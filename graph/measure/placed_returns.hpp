#pragma once

#include <vector>

#include "core/drives.hpp"
#include "graph/map.hpp"
#include "graph/measure/wall_face_fit.hpp"

namespace wainscot {

/// The returns with a normal of each node of a map, in the map's frame; index: the node. `drives`: with the scans to
/// which the nodes count.
std::vector<std::vector<PlacedReturn>> placed_returns(const Map& map, Drives drives);

}  // namespace wainscot
