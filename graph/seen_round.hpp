#pragma once

#include <cstdint>

#include "core/occupancy_grid.hpp"

namespace wainscot {

/// Whether everything within two cells of a cell was seen, floor or thing. Behind a wall that beams only brushed
/// nothing was, so that what was seen of it says little.
bool is_seen_all_round(const OccupancyGrid& grid, std::int32_t column, std::int32_t row);

}  // namespace wainscot
