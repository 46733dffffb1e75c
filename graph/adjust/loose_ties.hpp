#pragma once

// What the adjustment's equations do not know: that walls which seem to coincide may do so by chance. They pair walls
// of all nodes that lie near one another. Between sets of nodes that no match, no closure and no marker ties together
// (graph/tied_nodes.hpp) nobody has shown that the walls are the same, and odometry alone leads from one to the next.

#include <cstddef>
#include <vector>

#include "core/odometry.hpp"
#include "graph/adjust/joint_adjustment.hpp"

namespace wainscot {

/// Adds to the covariances of nodes outside of the largest set what odometry leaves open between it and theirs: slips
/// that nobody would have seen, and all where it is unknown. `tied`: as first_tied_nodes() gives it; `steps`: see
/// with_unseen_slips() and without_jumps().
void add_loose_ties(const std::vector<OdometryStep>& steps, const std::vector<std::size_t>& tied, JointResult& result);

}  // namespace wainscot
