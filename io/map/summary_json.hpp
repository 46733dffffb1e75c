#pragma once

#include <string>

#include "core/drives.hpp"
#include "graph/map.hpp"
#include "io/map_origin.hpp"

namespace wainscot {

/// The text of summary.json: figures for machines, the unit in each key's name, no time of day and no running times. A
/// figure that is not known (NaN or infinite) is null.
std::string summary_json(const Map& map, Drives drives, const MapOrigin& origin);

}  // namespace wainscot
