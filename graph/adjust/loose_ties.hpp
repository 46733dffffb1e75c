#pragma once

// What the adjustment's equations do not know: that walls which seem to coincide may do so by chance. They pair walls
// of all nodes that lie near one another. Between sets of nodes that no match, no closure and no marker ties together
// (graph/mapping/tied_nodes.hpp) nobody has shown that the walls are the same, and odometry alone leads from one to the
// next.

#include <cstddef>
#include <vector>

#include <Eigen/Core>

#include "core/odometry.hpp"
#include "core/pose2.hpp"

namespace wainscot {

/// For each node, in its tangent space: what odometry leaves open between the first node's set and its own, by the
/// surest chain of sets: its noise, slips that nobody would have seen, and all where it is unknown. Zero in the first
/// node's set. `times_s`, `poses`: of the nodes; `tied`: as first_tied_nodes() gives it; `steps`: see
/// with_unseen_slips() and without_jumps().
std::vector<Eigen::Matrix3d> loose_tie_covariances(const std::vector<OdometryStep>& steps, const OdometryNoise& noise,
                                                   const std::vector<double>& times_s, const std::vector<Pose2>& poses,
                                                   const std::vector<std::size_t>& tied);

}  // namespace wainscot
