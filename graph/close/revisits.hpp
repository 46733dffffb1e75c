#pragma once

// Which places the robot may have come back to. Where the drift is small, the nearest node of each earlier visit is
// proposed. Where it spans rooms, places with alike signatures are; a match of those proves little by itself
// (graph/close/hypothesis).

#include <vector>

#include <Eigen/Core>

#include "graph/close/chain.hpp"
#include "graph/close/hinted_places.hpp"
#include "graph/close/place_signatures.hpp"
#include "graph/close/proposal.hpp"
#include "graph/pose_graph.hpp"

namespace wainscot {

struct RevisitOptions {
  double min_way_m = 8.0;       ///< nodes closer along the way than this were matched against one local map already
  double max_distance_m = 2.5;  ///< between the two nodes, beyond the drift: further apart they see too different walls
  double spacing_m = 1.2;       ///< of the later nodes that are tried: one closure a metre holds a house together
  std::size_t near_most = 2;    ///< visits that a node is tried against: more would tell nothing new of a known room
  double near_sd_m = 0.5;       ///< drift beyond which a look-alike place may lie within it,
  double near_sd_rad = 0.2;     ///< so that a match alone is not believed
  double far_spacing_m = 1.8;   ///< of the later nodes that are tried there
  std::size_t far_most = 4;     ///< of the places that look most alike
  double least_likeness = 0.8;  ///< of their signatures
};

/// Whether the drift is so small that no look-alike place lies within it. `covariance`: of a relative pose.
bool is_near(const Eigen::Matrix3d& covariance, const RevisitOptions& options = {});

/// All along the chain, by the graph's poses and their drift; those of far places have `anywhere` set. No pair that is
/// forbidden, and no far ones between parts of a joined recording, which were laid on one another whole.
std::vector<Proposal> propose_revisits(const PoseGraph& graph, const Chain& chain, const ForbiddenPairs& forbidden,
                                       PlaceSignatures& signatures, const RevisitOptions& options = {});

}  // namespace wainscot
