#pragma once

// Which nodes' walls can be taken for the same ones.

#include <cstddef>
#include <vector>

#include "graph/markers/marker_agreement.hpp"
#include "graph/pose_graph.hpp"

namespace wainscot {

/// For each node the first one that it is tied to by walls or markers: by matches along the path, accepted closures,
/// and believed sightings of one marker. Where odometry alone leads from one set to the next, walls that seem to
/// coincide do so by chance as well as by right.
std::vector<std::size_t> first_tied_nodes(const PoseGraph& graph, const std::vector<NodeSighting>& sightings);

/// Nodes, ascending, that are not in the largest set, or in the first of several as large. `first_tied`: as above.
std::vector<std::size_t> unjoined_nodes(const std::vector<std::size_t>& first_tied);

}  // namespace wainscot
