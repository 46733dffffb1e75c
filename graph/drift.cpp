#include "graph/drift.hpp"

#include <algorithm>
#include <limits>
#include <numbers>
#include <queue>
#include <utility>

#include <Eigen/Dense>

namespace wainscot {
namespace {

/// Length of a path for the search: variances with 1 rad weighed like 2 m, about what it does within a room.
double size_of(const Eigen::Matrix3d& covariance) {
  return covariance(0, 0) + covariance(1, 1) + 4.0 * covariance(2, 2);
}

}  // namespace

Eigen::Matrix3d carried(const Eigen::Matrix3d& covariance, const Pose2& relative) {
  const Eigen::Matrix3d carry = adjoint(inverse(relative));
  return carry * covariance * carry.transpose();
}

Eigen::Matrix3d edge_covariance(const Edge& edge) {
  const Eigen::Vector3d free(1.0 / (100.0 * 100.0), 1.0 / (100.0 * 100.0), 1.0 / (std::numbers::pi * std::numbers::pi));
  Eigen::Matrix3d covariance = (edge.information + Eigen::Matrix3d(free.asDiagonal())).inverse();
  constexpr double kFloorM = 0.002;
  constexpr double kFloorRad = 0.0015;
  covariance.diagonal() += Eigen::Vector3d(kFloorM * kFloorM, kFloorM * kFloorM, kFloorRad * kFloorRad);
  return covariance;
}

ChainDrift::ChainDrift(const std::vector<Pose2>& poses, const std::vector<Edge>& edges) : poses_(poses) {
  sums_.assign(1, Eigen::Matrix3d::Zero());
  for (std::size_t i = 0; i < edges.size(); ++i) {
    const Eigen::Matrix3d to_origin = adjoint(poses_[i + 1]);
    sums_.push_back(sums_.back() + to_origin * edge_covariance(edges[i]) * to_origin.transpose());
  }
}

Eigen::Matrix3d ChainDrift::between_nodes(std::size_t a, std::size_t b) const {
  const Eigen::Matrix3d back = adjoint(inverse(poses_[b]));
  return back * (sums_[std::max(a, b)] - sums_[std::min(a, b)]) * back.transpose();
}

namespace {

/// Dijkstra's search along the edges, by the size of the covariance against `source`. `arrive(node, edge, forwards)` is
/// called when a node is reached for good.
template <typename Relative, typename Arrive>
std::vector<Eigen::Matrix3d> search_tree(const PoseGraph& graph, std::size_t source, const Relative& relative_pose,
                                         const Arrive& arrive) {
  const std::size_t count = graph.nodes.size();
  std::vector<std::vector<std::size_t>> edges_of(count);
  for (std::size_t e = 0; e < graph.edges.size(); ++e) {
    edges_of[graph.edges[e].from].push_back(e);
    edges_of[graph.edges[e].to].push_back(e);
  }
  constexpr double kFar = 1e12;
  std::vector<Eigen::Matrix3d> covariances(count, kFar * Eigen::Matrix3d::Identity());
  std::vector<double> sizes(count, std::numeric_limits<double>::infinity());
  std::vector<const Edge*> reached_by(count, nullptr);
  std::vector<bool> done(count, false);
  using Entry = std::pair<double, std::size_t>;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> queue;
  covariances[source].setZero();
  sizes[source] = 0.0;
  queue.push({0.0, source});
  while (!queue.empty()) {
    const std::size_t at = queue.top().second;
    queue.pop();
    if (done[at]) continue;
    done[at] = true;
    if (reached_by[at] != nullptr) arrive(at, *reached_by[at]);
    for (std::size_t e : edges_of[at]) {
      const Edge& edge = graph.edges[e];
      const std::size_t next = edge.from == at ? edge.to : edge.from;
      if (done[next]) continue;
      const Pose2 relative = relative_pose(edge, at, next);
      // The edge's covariance is in its `to` node's frame: there already, or carried back.
      const Eigen::Matrix3d own = edge.to == next ? edge_covariance(edge) : carried(edge_covariance(edge), relative);
      const Eigen::Matrix3d covariance = carried(covariances[at], relative) + own;
      if (size_of(covariance) >= sizes[next]) continue;
      sizes[next] = size_of(covariance);
      covariances[next] = covariance;
      reached_by[next] = &edge;
      queue.push({sizes[next], next});
    }
  }
  return covariances;
}

}  // namespace

std::vector<Eigen::Matrix3d> tree_covariances(const PoseGraph& graph, std::size_t source) {
  return search_tree(
      graph, source,
      [&graph](const Edge&, std::size_t at, std::size_t next) {
        return between(graph.nodes[at].pose, graph.nodes[next].pose);
      },
      [](std::size_t, const Edge&) {});
}

std::vector<Pose2> tree_poses(const PoseGraph& graph, std::size_t source) {
  std::vector<Pose2> poses;
  for (const Node& node : graph.nodes) poses.push_back(node.pose);
  search_tree(
      graph, source,
      [](const Edge& edge, std::size_t at, std::size_t) {
        return edge.from == at ? edge.relative : inverse(edge.relative);
      },
      [&poses](std::size_t node, const Edge& edge) {
        const bool forwards = edge.to == node;
        poses[node] = forwards ? poses[edge.from] * edge.relative : poses[edge.to] * inverse(edge.relative);
      });
  return poses;
}

}  // namespace wainscot
