#include "graph/mapping/tied_nodes.hpp"

#include <algorithm>
#include <map>
#include <numeric>
#include <utility>

namespace wainscot {
namespace {

/// Disjoint sets, each named by its least member.
class TiedSets {
 public:
  explicit TiedSets(std::size_t count) : above_(count) { std::iota(above_.begin(), above_.end(), std::size_t{0}); }

  std::size_t first_of(std::size_t node) {
    while (above_[node] != node) node = std::exchange(above_[node], above_[above_[node]]);
    return node;
  }

  void tie(std::size_t a, std::size_t b) {
    const auto [low, high] = std::minmax({first_of(a), first_of(b)});
    above_[high] = low;
  }

 private:
  std::vector<std::size_t> above_;
};

/// Of several as large, of the first.
std::size_t first_of_largest(const std::vector<std::size_t>& first_tied) {
  std::vector<std::size_t> sizes(first_tied.size(), 0);
  for (const std::size_t first : first_tied) ++sizes[first];
  return static_cast<std::size_t>(std::max_element(sizes.begin(), sizes.end()) - sizes.begin());
}

}  // namespace

std::vector<std::size_t> first_tied_nodes(const PoseGraph& graph, const std::vector<NodeSighting>& sightings) {
  TiedSets sets(graph.nodes.size());
  for (const Edge& edge : graph.edges) {
    if (edge.kind != EdgeKind::odometry) sets.tie(edge.from, edge.to);
  }
  std::map<std::size_t, std::size_t> first_sighting;
  for (const NodeSighting& sighting : sightings) {
    sets.tie(first_sighting.try_emplace(sighting.marker, sighting.node).first->second, sighting.node);
  }
  std::vector<std::size_t> first(graph.nodes.size());
  for (std::size_t i = 0; i < first.size(); ++i) first[i] = sets.first_of(i);
  return first;
}

std::vector<std::size_t> unjoined_nodes(const std::vector<std::size_t>& first_tied) {
  const std::size_t largest = first_of_largest(first_tied);
  std::vector<std::size_t> nodes;
  for (std::size_t i = 0; i < first_tied.size(); ++i) {
    if (first_tied[i] != largest) nodes.push_back(i);
  }
  return nodes;
}

}  // namespace wainscot
