#pragma once

// Closing loops: propose pairs of nodes that might be the same place, verify each by geometry, keep those that agree
// with one another, optimise, and begin again with the better poses until nothing new is found.
//
// Where the drift is small, the nearest node of each earlier visit is proposed. Where it spans rooms, places with alike
// signatures are, and a pair that fits is a hypothesis that has to explain the stretch around it
// (graph/close/hypothesis). A marker seen again proposes a pair as well, and speaks for it where the walls say nothing.
// Nothing is final: each round decides anew which of all that fitted is believed.

#include <cstddef>
#include <functional>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "graph/close/verification.hpp"
#include "graph/markers/node_sightings.hpp"
#include "graph/pose_graph.hpp"
#include "graph/track/keyframes.hpp"

namespace wainscot {

struct LoopClosureOptions {
  int most_rounds = 4;
  double min_way_m = 8.0;       ///< nodes closer along the way than this were matched against one local map already
  double max_distance_m = 2.5;  ///< between the two nodes, beyond the drift: further apart they see too different walls
  double spacing_m = 1.2;       ///< of the later nodes that are tried: one closure a metre holds a house together
  std::size_t near_most = 2;    ///< visits that a node is tried against: more would tell nothing new of a known room
  double near_sd_m = 0.5;       ///< drift beyond which a look-alike place may lie within it,
  double near_sd_rad = 0.2;     ///< so that a match alone is not believed
  double far_spacing_m = 1.8;   ///< of the later nodes that are tried there
  std::size_t far_most = 4;     ///< of the places that look most alike
  double least_likeness = 0.8;  ///< of their signatures
  std::vector<Hint> hints = {};              ///< what the person who drove knows
  std::vector<NodeSighting> sightings = {};  ///< of markers, at the nodes,
  std::vector<std::string> markers = {};     ///< and the markers' names
  std::vector<DrivePart> parts = {};         ///< of a recording that was joined from several; then
  std::vector<Pose2> expected = {};          ///< where each node lies by the parts' own maps laid on one another
  double hint_way_m = 2.0;                   ///< the driver's "no" holds for nodes within this way of both times
};

struct ClosedGraph {
  PoseGraph graph;                        ///< optimised; edges of the chain, then accepted closures
  std::vector<LoopCandidate> candidates;  ///< every one that was tried, in the order of trying
  double cost_before = 0.0;               ///< with the accepted closures, before the first optimisation and
  double cost_after = 0.0;                ///< after the last
  std::vector<std::string> warnings;      ///< one sentence each: hints that the walls contradict, a failed optimisation
};

ClosedGraph close_loops(const TrackedPath& tracked, const RangeNoise& noise, const LoopClosureOptions& options,
                        int threads, const std::function<void(double)>& progress);

}  // namespace wainscot
