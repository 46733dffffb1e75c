#include "graph/drift.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>
#include <queue>
#include <utility>

#include <Eigen/Dense>

namespace wainscot {
namespace {

/// In the length of a path for the search: variances with 1 rad weighed like 2 m, about what it does within a room.
constexpr double kRadianWeighsM2 = 4.0;

}  // namespace

double position_sd_m(const Eigen::Matrix3d& covariance) {
  return std::sqrt(std::max(covariance(0, 0), covariance(1, 1)));
}

Eigen::Matrix3d edge_covariance(const Edge& edge) {
  const Eigen::Vector3d free(1.0 / (100.0 * 100.0), 1.0 / (100.0 * 100.0), 1.0 / (std::numbers::pi * std::numbers::pi));
  Eigen::Matrix3d covariance = (edge.information + Eigen::Matrix3d(free.asDiagonal())).inverse();
  // Chosen by hand: no match is better, whatever its pairs say, since walls are not flat. Half as much doubts closures
  // that are right in long drives, twice as much searches further.
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
  for (const Pose2& pose : poses_) back_.push_back(adjoint(inverse(pose)));
}

Eigen::Matrix3d ChainDrift::between_nodes(std::size_t a, std::size_t b) const {
  return back_[b] * (sums_[std::max(a, b)] - sums_[std::min(a, b)]) * back_[b].transpose();
}

namespace {

/// Length of a path for the search: the trace of the covariance of a node that stands at `place`, from a sum of
/// covariances as motions about the origin.
double size_at(const Eigen::Matrix3d& sum, const Eigen::Vector2d& place) {
  return sum(0, 0) + sum(1, 1) + 2.0 * (place.x() * sum(1, 2) - place.y() * sum(0, 2)) +
         (place.squaredNorm() + kRadianWeighsM2) * sum(2, 2);
}

std::vector<std::vector<std::size_t>> edges_of_nodes(const PoseGraph& graph) {
  std::vector<std::vector<std::size_t>> edges_of(graph.nodes.size());
  for (std::size_t e = 0; e < graph.edges.size(); ++e) {
    edges_of[graph.edges[e].from].push_back(e);
    edges_of[graph.edges[e].to].push_back(e);
  }
  return edges_of;
}

/// A way to a node: the sum of covariances about the origin, and where the node then stands.
struct Reached {
  Eigen::Matrix3d sum;
  Eigen::Vector2d place;
};

/// Dijkstra's search along the edges. `follow(e, at, next, sum)` tells what edge e leads to from node `at`, which was
/// reached with `sum`; `settle(node, e)` is called when a node is reached for good, along edge e.
template <typename Follow, typename Settle>
std::vector<std::optional<Eigen::Matrix3d>> search_tree(const PoseGraph& graph,
                                                        const std::vector<std::vector<std::size_t>>& edges_of,
                                                        std::size_t source, const Follow& follow,
                                                        const Settle& settle) {
  constexpr std::size_t kNoEdge = static_cast<std::size_t>(-1);  // of the source
  const std::size_t count = graph.nodes.size();
  std::vector<std::optional<Eigen::Matrix3d>> sums(count);
  std::vector<double> sizes(count, std::numeric_limits<double>::infinity());
  std::vector<std::size_t> reached_by(count, kNoEdge);
  std::vector<bool> done(count, false);
  using Entry = std::pair<double, std::size_t>;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> queue;
  sums[source] = Eigen::Matrix3d::Zero();
  sizes[source] = 0.0;
  queue.push({0.0, source});
  while (!queue.empty()) {
    const std::size_t at = queue.top().second;
    queue.pop();
    if (done[at]) continue;
    done[at] = true;
    if (reached_by[at] != kNoEdge) settle(at, reached_by[at]);
    for (const std::size_t e : edges_of[at]) {
      const std::size_t next = graph.edges[e].from == at ? graph.edges[e].to : graph.edges[e].from;
      if (done[next]) continue;
      const Reached reached = follow(e, at, next, *sums[at]);
      const double size = size_at(reached.sum, reached.place);
      if (size >= sizes[next]) continue;
      sizes[next] = size;
      sums[next] = reached.sum;
      reached_by[next] = e;
      queue.push({size, next});
    }
  }
  return sums;
}

}  // namespace

DriftTree::DriftTree(const PoseGraph& graph) : graph_(graph), edges_of_(edges_of_nodes(graph)) {
  for (const Edge& edge : graph.edges) {
    sums_.push_back(carried(edge_covariance(edge), inverse(graph.nodes[edge.to].pose)));
  }
  for (const Node& node : graph.nodes) back_.push_back(adjoint(inverse(node.pose)));
}

std::vector<Eigen::Matrix3d> DriftTree::covariances_from(std::size_t source) const {
  const auto sums = search_tree(
      graph_, edges_of_, source,
      [this](std::size_t e, std::size_t, std::size_t next, const Eigen::Matrix3d& sum) {
        return Reached{sum + sums_[e], graph_.nodes[next].pose.translation()};
      },
      [](std::size_t, std::size_t) {});
  constexpr double kFar = 1e12;  // not joined: a million metres
  std::vector<Eigen::Matrix3d> covariances(sums.size(), kFar * Eigen::Matrix3d::Identity());
  for (std::size_t i = 0; i < sums.size(); ++i) {
    if (sums[i]) covariances[i] = back_[i] * *sums[i] * back_[i].transpose();
  }
  return covariances;
}

std::vector<Pose2> tree_poses(const PoseGraph& graph, std::size_t source) {
  std::vector<Pose2> poses;
  for (const Node& node : graph.nodes) poses.push_back(node.pose);
  // Where an edge leads, by its own word.
  const auto led = [&](std::size_t e, std::size_t at) {
    const Edge& edge = graph.edges[e];
    return poses[at] * (edge.from == at ? edge.relative : inverse(edge.relative));
  };
  search_tree(
      graph, edges_of_nodes(graph), source,
      [&](std::size_t e, std::size_t at, std::size_t next, const Eigen::Matrix3d& sum) {
        const Edge& edge = graph.edges[e];
        const Pose2 there = led(e, at);
        const Pose2& to = edge.to == next ? there : poses[at];
        return Reached{sum + carried(edge_covariance(edge), inverse(to)), there.translation()};
      },
      [&](std::size_t node, std::size_t e) {
        const Edge& edge = graph.edges[e];
        poses[node] = led(e, edge.to == node ? edge.from : edge.to);
      });
  return poses;
}

}  // namespace wainscot
