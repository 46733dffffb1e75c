#include "graph/close/revisits.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include "graph/drift.hpp"

namespace wainscot {
namespace {

/// A later node, and how well each earlier one's pose is known from there.
struct Arrival {
  std::size_t to;
  std::vector<Eigen::Matrix3d> covariances;
  const std::vector<Node>& nodes;

  double distance_m(std::size_t from) const {
    return (nodes[from].pose.translation() - nodes[to].pose.translation()).norm();
  }
  Proposal proposal(std::size_t from) const { return proposed(nodes, covariances, from, to); }
};

/// Nodes [0, end) lie far enough before the node along the way.
std::size_t end_of_earlier(std::size_t node, const Chain& chain, const RevisitOptions& options) {
  std::size_t end = 0;
  while (end < node && chain.ways_m[node] - chain.ways_m[end] > options.min_way_m) ++end;
  return end;
}

/// The nearest node of each earlier visit to where the later node is, of the nearest visits.
std::vector<std::size_t> near_revisits(const Arrival& arrival, const Chain& chain, const RevisitOptions& options) {
  std::vector<std::pair<double, std::size_t>> visits;  // distance, node
  bool in_visit = false;
  const std::size_t end = end_of_earlier(arrival.to, chain, options);
  for (std::size_t from = 0; from < end; ++from) {
    const double distance = arrival.distance_m(from);
    const Eigen::Matrix3d& c = arrival.covariances[from];
    const bool within = is_near(c, options) && distance <= options.max_distance_m + 2.0 * position_sd_m(c);
    if (within && !in_visit) visits.emplace_back(distance, from);
    if (within) visits.back() = std::min(visits.back(), {distance, from});
    in_visit = within;
  }
  std::sort(visits.begin(), visits.end());
  if (visits.size() > options.near_most) visits.resize(options.near_most);
  std::vector<std::size_t> nearest;
  for (const auto& [distance, from] : visits) nearest.push_back(from);
  return nearest;
}

/// The earlier nodes within the drift, where that spans rooms, whose places look like the later one's, the most alike
/// first.
std::vector<std::size_t> alike_places(const Arrival& arrival, const Chain& chain, const ForbiddenPairs& forbidden,
                                      PlaceSignatures& signatures, const RevisitOptions& options) {
  std::vector<std::pair<double, std::size_t>> alike;  // negative likeness, node
  double next_way = 0.0;
  const std::size_t end = end_of_earlier(arrival.to, chain, options);
  for (std::size_t from = 0; from < end; ++from) {
    if (chain.ways_m[from] < next_way) continue;
    next_way = chain.ways_m[from] + options.spacing_m;
    const Eigen::Matrix3d& c = arrival.covariances[from];
    if (is_near(c, options) || arrival.distance_m(from) > options.max_distance_m + 4.0 * position_sd_m(c)) continue;
    if (forbidden.contains(from, arrival.to) || chain.parts[from] != chain.parts[arrival.to]) continue;
    const double likeness = signatures.of(from).likeness(signatures.of(arrival.to));
    if (likeness >= options.least_likeness) alike.emplace_back(-likeness, from);
  }
  std::sort(alike.begin(), alike.end());
  std::vector<std::size_t> nodes;
  for (const auto& [negative_likeness, from] : alike) nodes.push_back(from);
  return nodes;
}

/// Of those, the most alike ones that do not lie beside one another.
std::vector<std::size_t> far_revisits(const std::vector<std::size_t>& alike, const Chain& chain,
                                      const RevisitOptions& options) {
  std::vector<std::size_t> chosen;
  for (const std::size_t from : alike) {
    if (chosen.size() == options.far_most) break;
    const bool beside = std::any_of(chosen.begin(), chosen.end(), [&](std::size_t other) {
      return std::abs(chain.ways_m[other] - chain.ways_m[from]) < options.far_spacing_m;
    });
    if (!beside) chosen.push_back(from);
  }
  return chosen;
}

}  // namespace

bool is_near(const Eigen::Matrix3d& covariance, const RevisitOptions& options) {
  return position_sd_m(covariance) <= options.near_sd_m && std::sqrt(covariance(2, 2)) <= options.near_sd_rad;
}

std::vector<Proposal> propose_revisits(const PoseGraph& graph, const Chain& chain, const ForbiddenPairs& forbidden,
                                       PlaceSignatures& signatures, const RevisitOptions& options) {
  std::vector<Proposal> proposals;
  const DriftTree tree(graph);
  double next_way = 0.0;
  double next_far_way = 0.0;
  for (std::size_t to = 0; to < chain.ways_m.size(); ++to) {
    const double way = chain.ways_m[to];
    if (way < next_way) continue;
    next_way = way + options.spacing_m;
    if (way < options.min_way_m) continue;
    const Arrival arrival{to, tree.covariances_from(to), graph.nodes};
    for (const std::size_t from : near_revisits(arrival, chain, options)) {
      if (!forbidden.contains(from, to)) proposals.push_back(arrival.proposal(from));
    }
    if (way < next_far_way) continue;
    next_far_way = way + options.far_spacing_m;
    const std::vector<std::size_t> alike = alike_places(arrival, chain, forbidden, signatures, options);
    for (const std::size_t from : far_revisits(alike, chain, options)) {
      proposals.push_back(arrival.proposal(from));
      proposals.back().anywhere = true;
    }
  }
  return proposals;
}

}  // namespace wainscot
