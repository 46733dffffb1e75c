#pragma once

// Closing loops: propose pairs of nodes that might be the same place, verify each by geometry, keep those that agree
// with one another, optimise, and begin again with the better poses until nothing new is found.
//
// Pairs are proposed by the drift and by likeness (revisits), by markers (marked_places), by the person who drove
// (hinted_places) and, the first time, by the maps of a joined recording's parts (part_meetings). A pair that fits
// where the drift spans rooms is a hypothesis that has to explain the stretch around it (hypothesis). Nothing is final:
// each round decides anew (judgement) which of all that fitted (evidence) is believed. Where the robot was turned by
// hand or slid, the rounds begin again with that event loose (loose_events).

#include <functional>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "graph/close/revisits.hpp"
#include "graph/drive_part.hpp"
#include "graph/markers/node_sightings.hpp"
#include "graph/pose_graph.hpp"
#include "graph/track/keyframes.hpp"

namespace wainscot {

struct LoopClosureOptions {
  int most_rounds = 4;                       ///< a limit of time: most drives have no new closure in the third
  RevisitOptions revisits = {};              ///< where a place seen before is looked for
  std::vector<Hint> hints = {};              ///< what the person who drove knows
  std::vector<NodeSighting> sightings = {};  ///< of markers, at the nodes,
  std::vector<std::string> markers = {};     ///< and the markers' names
  std::vector<DrivePart> parts = {};         ///< of a recording that was joined from several; then
  std::vector<Pose2> expected = {};          ///< where each node lies by the parts' own maps laid on one another
};

struct ClosedGraph {
  PoseGraph graph;  ///< optimised; edges of the chain, then accepted closures
  std::vector<LoopCandidate>
      candidates;                     ///< in the order of trying; of a pair that failed, and was tried again, the last
  double cost_before = 0.0;           ///< with the accepted closures, before the first optimisation and
  double cost_after = 0.0;            ///< after the last
  std::vector<std::string> warnings;  ///< one sentence each: hints that the walls contradict, a failed optimisation
};

/// `progress` gets the share done, 0 .. 1; may be empty. The result is the same at any number of `threads`; <= 0: as
/// many as the machine has.
ClosedGraph close_loops(const TrackedPath& tracked, const RangeNoise& noise, const LoopClosureOptions& options,
                        int threads, const std::function<void(double)>& progress);

}  // namespace wainscot
