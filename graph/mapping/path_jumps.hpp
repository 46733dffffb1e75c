#pragma once

// Where the robot slid or was lifted: by how much odometry went wrong there, and whether a loop confirms where the
// robot came to.

#include <cstddef>
#include <vector>

#include "core/odometry.hpp"
#include "core/pose2.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// How far `node` lies from where odometry leads from the node before it, in its frame. `path`: of odometry.
Pose2 odometry_error_at(const PoseGraph& graph, std::size_t node, const OdometryPath& path);

/// Of `jumps` (nodes, ascending, before which the robot slid or was lifted) those that a match leads over, away from
/// where odometry led by more than 0.1 m or 3 degrees, and that no accepted closure spans. In homes 26001 to 26040 and
/// 37561 to 37660, like recordings, six of 36 matches over a jump of any size that none spans were wrong, and two of
/// 510 that one does. The map's graph and candidates are there.
std::vector<std::size_t> unconfirmed_jumps(const std::vector<std::size_t>& jumps, const OdometryPath& path,
                                           const Map& map);

}  // namespace wainscot
