#pragma once

// The chain of tracking, bent by the closures that are believed: optimised with them, and which of them it reaches. One
// that it does not reach says something else than all the others and the chain do.

#include <vector>

#include "graph/close/verification.hpp"
#include "graph/optimiser.hpp"
#include "graph/pose_graph.hpp"
#include "graph/track/keyframes.hpp"

namespace wainscot {

/// The nodes where tracking put them, and its edges.
PoseGraph graph_of(const TrackedPath& tracked);

struct BentGraph {
  PoseGraph graph;  ///< optimised; the chain's edges, then one for each closure
  OptimiserSummary summary;
};

/// `graph`: of the round before, which is where the optimiser begins; `tracked` and `edges`: the poses of the chain's
/// nodes by tracking, and its edges. `far`: the closures may bend it by whole rooms; then it begins near the solution,
/// with poses along the tree of the surest edges.
BentGraph bent(PoseGraph graph, const std::vector<Pose2>& tracked, const std::vector<Edge>& edges,
               const std::vector<Verified>& closures, bool far);

struct BendTolerance {
  double model_m = 0.03;  ///< what rooms bend beyond the closures' covariances: range biases, scale
  double model_rad = 0.015;
};

/// Whether the optimised graph lies within what the closure's covariance allows.
bool is_reached(const Verified& closure, const PoseGraph& graph, const BendTolerance& options = {});

}  // namespace wainscot
