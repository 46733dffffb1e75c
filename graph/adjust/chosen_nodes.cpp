#include "graph/adjust/chosen_nodes.hpp"

#include <algorithm>
#include <utility>

#include "graph/adjust/thinning.hpp"

namespace wainscot {

std::vector<std::size_t> chosen_nodes(const std::vector<Pose2>& poses, const MarkerEvidence& markers) {
  constexpr std::size_t kMostOfMarker = 20;
  std::vector<std::size_t> chosen = informative_nodes(poses);
  std::vector<std::vector<std::size_t>> nodes_of(markers.names.size());
  for (const NodeSighting& s : markers.sightings) nodes_of[s.marker].push_back(s.node);
  for (const std::vector<std::size_t>& nodes : nodes_of) {
    const std::size_t stride = 1 + nodes.size() / kMostOfMarker;
    for (std::size_t i = 0; i < nodes.size(); i += stride) chosen.push_back(nodes[i]);
  }
  std::sort(chosen.begin(), chosen.end());
  chosen.erase(std::unique(chosen.begin(), chosen.end()), chosen.end());
  return chosen;
}

MarkerEvidence at_chosen(MarkerEvidence markers, const std::vector<std::size_t>& chosen) {
  std::vector<NodeSighting> sightings;
  for (NodeSighting& s : markers.sightings) {
    const auto place = std::lower_bound(chosen.begin(), chosen.end(), s.node);
    if (place == chosen.end() || *place != s.node) continue;
    s.node = static_cast<std::size_t>(place - chosen.begin());
    sightings.push_back(s);
  }
  markers.sightings = std::move(sightings);
  return markers;
}

}  // namespace wainscot
