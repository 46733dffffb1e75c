#pragma once

// How far two nodes of a graph may have drifted apart: the covariance of their relative pose.
//
// The exact marginal needs a factorisation of the whole graph. An upper bound is enough to gate loop candidates: the
// covariance along the best path of edges between them (R. C. Smith, P. Cheeseman, "On the representation and
// estimation of spatial uncertainty", IJRR 5(4), 1986).

#include <cstddef>
#include <vector>

#include <Eigen/Core>

#include "graph/pose_graph.hpp"

namespace wainscot {

/// Covariance of one edge's relative pose, tangent space of its `to` node. Directions that the edge leaves free get a
/// standard deviation of 100 m or 180 degrees; matches get a floor for what their residuals do not show.
Eigen::Matrix3d edge_covariance(const Edge& edge);

/// The larger standard deviation of a pose's x and y, m.
double position_sd_m(const Eigen::Matrix3d& covariance);

/// Relative covariance along a chain of edges i -> i + 1, in constant time for any pair.
class ChainDrift {
 public:
  /// `edges[i]` leads from node i to node i + 1.
  ChainDrift(const std::vector<Pose2>& poses, const std::vector<Edge>& edges);

  /// Covariance of node b's pose against node a, tangent space of node b.
  Eigen::Matrix3d between_nodes(std::size_t a, std::size_t b) const;

  const std::vector<Pose2>& poses() const { return poses_; }  ///< that it was made from

 private:
  std::vector<Pose2> poses_;
  std::vector<Eigen::Matrix3d> sums_;  ///< of the edges' covariances as motions about the map's origin
  std::vector<Eigen::Matrix3d> back_;  ///< of each node: from the origin's tangent space to its own
};

/// Covariances along the trees of best paths through a graph, which must outlive this and stay as it is.
class DriftTree {
 public:
  explicit DriftTree(const PoseGraph& graph);

  /// Covariance of every node's pose against node `source`, tangent space of each node; 1e12 where no edge leads there.
  std::vector<Eigen::Matrix3d> covariances_from(std::size_t source) const;

 private:
  const PoseGraph& graph_;
  std::vector<std::vector<std::size_t>> edges_of_;
  std::vector<Eigen::Matrix3d> sums_;  ///< of each edge: its covariance as a motion about the map's origin
  std::vector<Eigen::Matrix3d> back_;  ///< of each node: from the origin's tangent space to its own
};

/// Poses of all nodes along the tree of best paths from node `source`, whose pose stays. Nodes that no edge reaches
/// keep theirs.
std::vector<Pose2> tree_poses(const PoseGraph& graph, std::size_t source);

}  // namespace wainscot
