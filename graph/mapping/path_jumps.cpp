#include "graph/mapping/path_jumps.hpp"

#include <cmath>

#include "graph/mapping/doubts.hpp"

namespace wainscot {
namespace {

/// Of each node, whether a match leads to it from the one before.
std::vector<bool> matched_to_the_one_before(const PoseGraph& graph) {
  std::vector<bool> matched(graph.nodes.size(), false);
  for (const Edge& edge : graph.edges) {
    if (edge.kind == EdgeKind::match && edge.from + 1 == edge.to) matched[edge.to] = true;
  }
  return matched;
}

/// Of each node, how many accepted closures span the way to it from the one before.
std::vector<int> spans(const Map& map) {
  std::vector<int> count(map.graph.nodes.size() + 1, 0);
  for (const LoopCandidate& loop : map.candidates) {
    if (loop.verdict != Verdict::accepted) continue;
    ++count[loop.from + 1];
    --count[loop.to + 1];
  }
  for (std::size_t i = 1; i < count.size(); ++i) count[i] += count[i - 1];
  return count;
}

}  // namespace

Pose2 odometry_error_at(const PoseGraph& graph, std::size_t node, const OdometryPath& path) {
  const Node& before = graph.nodes[node - 1];
  const Node& after = graph.nodes[node];
  return between(between(path.pose_at(before.time_s), path.pose_at(after.time_s)), between(before.pose, after.pose));
}

std::vector<std::size_t> unconfirmed_jumps(const std::vector<std::size_t>& jumps, const OdometryPath& path,
                                           const Map& map) {
  constexpr double kLooseRad = 0.05;  // 3 degrees: kLooseM at 2 m
  const std::vector<bool> matched = matched_to_the_one_before(map.graph);
  const std::vector<int> spanned = spans(map);
  std::vector<std::size_t> unconfirmed;
  for (const std::size_t node : jumps) {
    if (!matched[node] || spanned[node] > 0) continue;
    const Pose2 error = odometry_error_at(map.graph, node, path);
    if (error.translation().norm() > kLooseM || std::abs(wrap_angle(error.heading_rad)) > kLooseRad) {
      unconfirmed.push_back(node);
    }
  }
  return unconfirmed;
}

}  // namespace wainscot
