#pragma once

// Events (the robot was turned by hand, slid, was lifted) as hypotheses. The match over one is right in nine of ten,
// and where a scan fitted nothing, odometry's word in two of three; where it is wrong, all that follows is turned and
// shifted against what was seen before, and no right closure lies within the drift. So closures are sought a second
// time with every such step as loose as a wrong word leaves it. Then each match has its weight again: of a wrong one
// the closures that were found so are more, and outweigh it. Odometry's word, which nothing confirms, stays loose.

#include <cstddef>
#include <vector>

#include "graph/pose_graph.hpp"
#include "graph/track/keyframes.hpp"

namespace wainscot {

/// Nodes, ascending, to which a match leads over an event: the jumps that are no breaks, which are loose already.
std::vector<std::size_t> matched_events(const TrackedPath& tracked);

/// Nodes, ascending, to which odometry alone leads, and no breaks.
std::vector<std::size_t> unconfirmed_steps(const TrackedPath& tracked);

/// The edges of a tracked path, those to these nodes loose.
std::vector<Edge> with_loose_steps(std::vector<Edge> edges, const std::vector<std::size_t>& nodes);

}  // namespace wainscot
