#pragma once

#include <filesystem>

#include "core/occupancy_grid.hpp"

namespace wainscot {

/// Reads grid.yaml and the raster that it names from a map's folder. A cell's probability comes back to within 1/510,
/// level 128 as never seen (NaN). Throws `InputError` where the folder is not a map, its files do not fit each other or
/// are not plain files in it.
OccupancyGrid read_grid(const std::filesystem::path& map_folder);

}  // namespace wainscot
