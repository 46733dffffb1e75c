#pragma once

// How the errors of several nodes' poses hang together. The map keeps each node's own covariance; where two nodes lie
// side by side most of it is common to both and says nothing of a distance that both measure.

#include <memory>
#include <span>

#include <Eigen/Core>

#include "graph/pose_graph.hpp"

namespace wainscot {

/// Sizes as the nodes state them (Node::covariance), correlations as the edges of the graph give them: the exact
/// marginals of the linearised graph (M. Kaess, F. Dellaert, "Covariance recovery from a square root information
/// matrix for data association", Robotics and Autonomous Systems 57, 2009), each node's block brought to the size
/// stated. The graph is factorised once; each question solves for its nodes only.
class NodeCovariance {
 public:
  /// `graph` must outlive this and stay as it is.
  explicit NodeCovariance(const PoseGraph& graph);
  ~NodeCovariance();
  NodeCovariance(const NodeCovariance&) = delete;
  NodeCovariance& operator=(const NodeCovariance&) = delete;

  /// Joint covariance of the poses of `nodes` against node 0, 3 rows a node, each in the tangent space of its own node
  /// (m, m, rad). Positive semidefinite; node 0 has none.
  Eigen::MatrixXd of(std::span<const std::size_t> nodes) const;

 private:
  struct Factor;
  const PoseGraph& graph_;
  std::unique_ptr<Factor> factor_;
};

}  // namespace wainscot
