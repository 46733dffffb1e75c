#pragma once

// How wide the gaps between rooms are, from the returns on their jambs.

#include <vector>

#include "graph/measure/tape.hpp"
#include "io/rooms/doorways.hpp"

namespace wainscot {

/// A tape (graph/measure/tape.hpp) from jamb to jamb, where both have a face that looks across the gap within a cell or
/// two of where the cells end. Elsewhere the width is that of the cells, and the map's scale and the lidar's range
/// offset join its uncertainty.
void measure_doorways(std::vector<Doorway>& doors, const MeasurableMap& map, double cell_size_m);

}  // namespace wainscot
