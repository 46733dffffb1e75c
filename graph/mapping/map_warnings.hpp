#pragma once

// What is odd about a finished map, in sentences that say what to do.

#include <cstddef>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "graph/drive_part.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// The drive's own warnings first. `map`: with everything but its warnings; `path`: of odometry with the adjusted
/// constants; `jumps`: as TrackedPath has them; `parts`: of a joined recording, else empty.
std::vector<std::string> map_warnings(const Drive& drive, const OdometryPath& path,
                                      const std::vector<std::size_t>& jumps, const std::vector<DrivePart>& parts,
                                      const Map& map);

}  // namespace wainscot
