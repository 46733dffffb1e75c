#pragma once

#include <filesystem>
#include <string>

#include "core/drives.hpp"
#include "graph/map.hpp"
#include "io/map_origin.hpp"

namespace wainscot {

/// What `build` and `extend` say at the end, for people: what was used, what was found, how sure it is, what to do
/// next. Lines with line ends; every figure with its unit. `drive_folder` (of the first drive; empty where it is not
/// known) and `map_folder` as the user gave them.
std::string account(const Map& map, Drives drives, const MapOrigin& origin, const std::filesystem::path& drive_folder,
                    const std::filesystem::path& map_folder);

}  // namespace wainscot
