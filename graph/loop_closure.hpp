#pragma once

// Closing loops: propose pairs of nodes that might be the same place, verify each by geometry, keep those that agree
// with one another, optimise, and begin again with the better poses until nothing new is found.

#include <functional>
#include <vector>

#include "graph/keyframes.hpp"
#include "graph/pose_graph.hpp"
#include "graph/verification.hpp"

namespace wainscot {

struct LoopClosureOptions {
  int most_rounds = 4;
  double min_way_m = 8.0;       ///< nodes closer along the way than this were matched against one local map already
  double max_distance_m = 2.5;  ///< between the two nodes, beyond the drift: further apart they see too different walls
  double spacing_m = 0.9;       ///< of the later nodes that are tried: one closure a metre holds a house together
};

struct ClosedGraph {
  PoseGraph graph;                        ///< optimised; edges of the chain, then accepted closures
  std::vector<LoopCandidate> candidates;  ///< every one that was tried, in the order of trying
  double cost_before = 0.0;               ///< with the accepted closures, before the first optimisation and
  double cost_after = 0.0;                ///< after the last
};

ClosedGraph close_loops(const TrackedPath& tracked, const RangeNoise& noise, const LoopClosureOptions& options,
                        int threads, const std::function<void(double)>& progress);

}  // namespace wainscot
