#pragma once

// Events (the robot was turned by hand, slid, was lifted) as hypotheses. The match over one is right in nine of ten;
// where it is wrong, all that follows is turned and shifted against what was seen before, and no right closure lies
// within the drift. So closures are sought a second time with every event as loose as a wrong match leaves it. Then
// each match has its weight again: of a wrong one the closures that were found so are more, and outweigh it.

#include <cstddef>
#include <vector>

#include "graph/pose_graph.hpp"
#include "graph/track/keyframes.hpp"

namespace wainscot {

/// Nodes, ascending, to which a match leads over an event: the jumps that are no breaks, which are loose already.
std::vector<std::size_t> matched_events(const TrackedPath& tracked);

/// The edges of a tracked path, those to its matched events loose.
std::vector<Edge> with_loose_events(const TrackedPath& tracked);

}  // namespace wainscot
