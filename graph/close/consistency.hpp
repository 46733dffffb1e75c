#pragma once

// Which closures agree with one another: pairwise consistent measurement sets (J. G. Mangelson, D. Dominic, R. M.
// Eustice, R. Vasudevan, "Pairwise consistent measurement set maximization for robust multi-robot map merging", ICRA
// 2018). Two closures and the chain of edges between their ends form a loop; its error must be no larger than its
// covariance allows. The largest set in which every pair agrees is kept.

#include <cstddef>
#include <vector>

#include "core/chi_squared.hpp"
#include "graph/close/verification.hpp"
#include "graph/drift.hpp"
#include "graph/pose_graph.hpp"

namespace wainscot {

struct ConsistencyOptions {
  double max_chi_squared = kPoseGate;
};

/// Covariance of a closure's relative pose, as `edge_covariance` of an edge.
Eigen::Matrix3d closure_covariance(const Verified& closure);

/// Whether two closures and the chain between their ends agree.
bool closures_agree(const Verified& a, const Verified& b, const ChainDrift& drift,
                    const ConsistencyOptions& options = {});

/// Indices of the closures that agree, ascending. Where several sets are largest, the one with the greater sum of
/// overlaps wins; a set with more closures that a person vouches for wins before that.
std::vector<std::size_t> largest_consistent_set(const std::vector<Verified>& closures, const ChainDrift& drift,
                                                const ConsistencyOptions& options = {});

}  // namespace wainscot
