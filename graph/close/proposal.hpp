#pragma once

// A pair of nodes that might be the same place, before geometry has looked at it, and many of them put to the walls.

#include <cstddef>
#include <vector>

#include <Eigen/Core>

#include "graph/close/place.hpp"
#include "graph/close/verification.hpp"
#include "graph/pose_graph.hpp"

namespace wainscot {

struct Proposal {
  std::size_t from = 0;  ///< the earlier node
  std::size_t to = 0;
  Pose2 predicted;                                       ///< pose of `to` in the frame of `from`
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();  ///< its, tangent space of `to`
  bool anywhere = false;                                 ///< the prediction says too little: search the whole place
};

/// The pair as the graph's poses predict it. `covariances`: of every node's pose against node `to`, as
/// DriftTree::covariances_from(to) gives them.
Proposal proposed(const std::vector<Node>& nodes, const std::vector<Eigen::Matrix3d>& covariances, std::size_t from,
                  std::size_t to);

/// What the walls say of each proposal, in their order; the same at any number of threads. `threads` <= 0: as many as
/// the machine has.
std::vector<Verified> verify_all(const std::vector<Proposal>& proposals, const SeenPath& path, int threads);

}  // namespace wainscot
