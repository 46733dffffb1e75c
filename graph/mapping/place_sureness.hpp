#pragma once

// How sure each place of a map is against the map as a whole. A node's own covariance is against the first node: it
// holds the first node's heading, which turns the whole map, and the map's scale, which is told apart. Neither bends a
// wall.

#include <vector>

#include "graph/pose_graph.hpp"

namespace wainscot {

/// Standard uncertainty of each node's place in metres (root of the variances along both axes, summed), once the map
/// has been moved, turned and scaled to fit best: an S-transformation (W. Baarda, "S-transformations and criterion
/// matrices", Netherlands Geodetic Commission, 1973) over nodes spread along the path, what lies between them
/// interpolated. `scale_sd`: relative, of the map's scale, which is part of the nodes' covariances. Where the graph
/// says nothing of how errors hang together, the nodes' own against the first one.
std::vector<double> place_sds_m(const PoseGraph& graph, double scale_sd);

}  // namespace wainscot
