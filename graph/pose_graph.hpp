#pragma once

// The pose graph: nodes are poses of the robot at some scans (keyframes), edges are measured relative poses.
// Source: G. Grisetti, R. Kuemmerle, C. Stachniss, W. Burgard, "A tutorial on graph-based SLAM", IEEE Intelligent
// Transportation Systems Magazine 2(4), 2010.

#include <cstddef>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "core/pose2.hpp"

namespace wainscot {

struct Node {
  std::size_t scan = 0;  ///< index into Drive::scans
  double time_s = 0.0;
  Pose2 pose;  ///< map frame
  /// Marginal covariance in the tangent space of the node's own frame (pose * exp(tangent)), m and rad, against node 0.
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();
  int drive = 1;
};

enum class EdgeKind { odometry, match, closure };

/// A measured pose of node `to` in the frame of node `from`.
struct Edge {
  EdgeKind kind = EdgeKind::odometry;
  std::size_t from = 0;
  std::size_t to = 0;
  Pose2 relative;
  /// Inverse covariance of `relative` in the tangent space of node `to`: residual = log(inverse(relative) *
  /// inverse(from)
  /// * to). Symmetric, positive semidefinite; a zero eigenvalue leaves that direction free.
  Eigen::Matrix3d information = Eigen::Matrix3d::Zero();
};

/// Nodes at which the robot was on one straight line, wherever that is.
struct NodesOnLine {
  Eigen::Vector2d anchor{0.0, 0.0};  ///< a place on it to begin the search with, map frame,
  double direction_rad = 0.0;        ///< and its direction
  std::vector<std::size_t> nodes;
  std::vector<double> information_per_m2;  ///< of each node's distance from it
};

struct PoseGraph {
  std::vector<Node> nodes;
  std::vector<Edge> edges;
  std::vector<NodesOnLine> lines = {};
};

enum class Verdict { accepted, rejected };

/// A pair of nodes that might be the same place, and what became of it.
struct LoopCandidate {
  std::size_t from = 0;  ///< the earlier node
  std::size_t to = 0;
  Pose2 predicted;             ///< pose of `to` in `from` before the search
  Pose2 found;                 ///< after it; equal to `predicted` where the search found nothing
  double overlap = 0.0;        ///< fraction of the later place's returns that lie on the earlier place's walls
  double contradiction = 0.0;  ///< fraction that lie where the earlier place was seen to be free
  double chi_squared = 0.0;    ///< of `found` against `predicted` under the drift's covariance, 3 degrees of freedom
  Verdict verdict = Verdict::rejected;
  std::string reason;  ///< for people, one sentence without full stop
};

}  // namespace wainscot
