#pragma once

// How far the finished graph stands from what each edge measured.

#include <vector>

#include "core/pose2.hpp"
#include "graph/pose_graph.hpp"

namespace wainscot {

struct EdgeResidual {
  Tangent2 error{0.0, 0.0, 0.0};  ///< m, m, rad, in the later node's frame: see Edge::information
  double chi_squared = 0.0;  ///< error' * information * error; 3 degrees of freedom where the edge leaves none free
};

/// One an edge, in the graph's order.
std::vector<EdgeResidual> edge_residuals(const PoseGraph& graph);

}  // namespace wainscot
