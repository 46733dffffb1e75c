#pragma once

// Which nodes' walls can be taken for the same ones.

#include <cstddef>
#include <vector>

#include "core/odometry.hpp"
#include "graph/map.hpp"
#include "graph/markers/marker_agreement.hpp"
#include "graph/pose_graph.hpp"

namespace wainscot {

/// For each node the first one that it is tied to by walls or markers: by matches along the path, accepted closures,
/// and believed sightings of one marker. Where odometry alone leads from one set to the next, walls that seem to
/// coincide do so by chance as well as by right.
std::vector<std::size_t> first_tied_nodes(const PoseGraph& graph, const std::vector<NodeSighting>& sightings);

/// Nodes, ascending, that are not in the largest set, or in the first of several as large. `first_tied`: as above.
std::vector<std::size_t> unjoined_nodes(const std::vector<std::size_t>& first_tied);

/// Of `jumps` (nodes before which the robot slid or was lifted) those that a match leads over, away from where odometry
/// led by more than 0.1 m or 3 degrees, and no accepted closure spans. In homes 26001 to 26040 and 37561 to 37660, like
/// recordings, six of 36 such matches were wrong (of smaller ones, too), and two of 510 that a closure spans. `path`:
/// of odometry. The map's graph and candidates are there.
std::vector<std::size_t> unconfirmed_jumps(const std::vector<std::size_t>& jumps, const OdometryPath& path,
                                           const Map& map);

}  // namespace wainscot
