#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "core/drives.hpp"
#include "graph/known/known_map.hpp"
#include "graph/map.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {

/// What the nodes of a map saw, in their order: of `drives`, to whose scans the nodes count.
std::vector<MapView> map_views(const Map& map, Drives drives);

/// The returns with normals of several views in the frame that their poses are in; evenly thinned to `most`.
std::vector<ScanPoint> together(std::span<const MapView> views, std::size_t most);

/// A map as something to find a robot, or another map, in. `views`: of map_views(); `drives`: at least one.
KnownMap known_map(const Map& map, Drives drives, const std::vector<MapView>& views);

}  // namespace wainscot
