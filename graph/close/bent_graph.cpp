#include "graph/close/bent_graph.hpp"

#include <cstddef>
#include <utility>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "graph/close/consistency.hpp"
#include "graph/drift.hpp"

namespace wainscot {
namespace {

/// Poses along the tree of the surest edges, then without a loss that would take the bend for a mistake.
void begin_from_tree(PoseGraph& graph, const std::vector<Pose2>& tracked) {
  for (std::size_t i = 0; i < graph.nodes.size(); ++i) graph.nodes[i].pose = tracked[i];
  const std::vector<Pose2> poses = tree_poses(graph, 0);
  for (std::size_t i = 0; i < graph.nodes.size(); ++i) graph.nodes[i].pose = poses[i];
  OptimiserOptions plain;
  plain.closure_robust_ratio = 0.0;
  optimise(graph, plain);
}

}  // namespace

PoseGraph graph_of(const TrackedPath& tracked) {
  PoseGraph graph;
  for (std::size_t i = 0; i < tracked.poses.size(); ++i) {
    Node node;
    node.scan = tracked.keyframes[i].scan;
    node.time_s = tracked.keyframes[i].time_s;
    node.pose = tracked.poses[i];
    graph.nodes.push_back(node);
  }
  graph.edges = tracked.edges;
  return graph;
}

BentGraph bent(PoseGraph graph, const std::vector<Pose2>& tracked, const std::vector<Edge>& edges,
               const std::vector<Verified>& closures, bool far) {
  graph.edges = edges;
  for (const Verified& closure : closures) {
    const LoopCandidate& c = closure.candidate;
    graph.edges.push_back({EdgeKind::closure, c.from, c.to, c.found, closure.information});
  }
  if (far) begin_from_tree(graph, tracked);
  BentGraph result{std::move(graph), {}};
  result.summary = optimise(result.graph);
  return result;
}

bool is_reached(const Verified& closure, const PoseGraph& graph, const BendTolerance& options) {
  const LoopCandidate& c = closure.candidate;
  Eigen::Matrix3d covariance = closure_covariance(closure);
  covariance.diagonal() += Eigen::Vector3d(options.model_m * options.model_m, options.model_m * options.model_m,
                                           options.model_rad * options.model_rad);
  Pose2 error = between(c.found, between(graph.nodes[c.from].pose, graph.nodes[c.to].pose));
  error.heading_rad = wrap_angle(error.heading_rad);
  const Tangent2 residual = log(error);
  return residual.dot(covariance.ldlt().solve(residual)) <= kPoseGate;
}

}  // namespace wainscot
