#include "graph/close/loose_events.hpp"

#include <algorithm>
#include <iterator>

#include <Eigen/Dense>

#include "graph/drift.hpp"
#include "graph/track/likely_place.hpp"

namespace wainscot {
namespace {

/// Both ascending.
std::vector<std::size_t> without(const std::vector<std::size_t>& others, const std::vector<std::size_t>& nodes) {
  std::vector<std::size_t> left;
  std::set_difference(nodes.begin(), nodes.end(), others.begin(), others.end(), std::back_inserter(left));
  return left;
}

}  // namespace

std::vector<std::size_t> matched_events(const TrackedPath& tracked) { return without(tracked.breaks, tracked.jumps); }

std::vector<std::size_t> unconfirmed_steps(const TrackedPath& tracked) {
  std::vector<std::size_t> nodes;
  for (const Edge& edge : tracked.edges) {
    if (edge.kind == EdgeKind::odometry) nodes.push_back(edge.to);
  }
  return without(tracked.breaks, nodes);
}

std::vector<Edge> with_loose_steps(std::vector<Edge> edges, const std::vector<std::size_t>& nodes) {
  for (const std::size_t node : nodes) {
    Eigen::Matrix3d covariance = edge_covariance(edges[node - 1]);
    covariance.diagonal() += variance_within(ReachOptions());  // a wrong match lies anywhere that was searched
    edges[node - 1].information = covariance.inverse();
  }
  return edges;
}

}  // namespace wainscot
