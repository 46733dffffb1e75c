#include "graph/adjust/chosen_nodes.hpp"

#include <algorithm>
#include <utility>

#include "graph/adjust/thinning.hpp"

namespace wainscot {
namespace {

/// `most` at the most of each list, evenly.
void choose_some(const std::vector<std::vector<std::size_t>>& lists, std::size_t most,
                 std::vector<std::size_t>& chosen) {
  for (const std::vector<std::size_t>& nodes : lists) {
    const std::size_t stride = 1 + nodes.size() / most;
    for (std::size_t i = 0; i < nodes.size(); i += stride) chosen.push_back(nodes[i]);
  }
}

/// Where a node stands among the chosen ones; their number where it is not among them.
std::size_t slot_of(std::size_t node, const std::vector<std::size_t>& chosen) {
  const auto place = std::lower_bound(chosen.begin(), chosen.end(), node);
  if (place == chosen.end() || *place != node) return chosen.size();
  return static_cast<std::size_t>(place - chosen.begin());
}

}  // namespace

std::vector<std::size_t> chosen_nodes(const std::vector<Pose2>& poses, const MarkerEvidence& markers,
                                      const LineEvidence& lines) {
  // Limits of time: a mean of 20 sightings of 1 cm is good to 2 mm already. Lines say one direction only, and bend:
  // twice as many. Chosen by hand.
  constexpr std::size_t kMostOfMarker = 20;
  constexpr std::size_t kMostOfLine = 40;
  std::vector<std::size_t> chosen = informative_nodes(poses);
  std::vector<std::vector<std::size_t>> of_marker(markers.names.size());
  for (const NodeSighting& s : markers.sightings) of_marker[s.marker].push_back(s.node);
  choose_some(of_marker, kMostOfMarker, chosen);
  std::vector<std::vector<std::size_t>> of_line(lines.names.size());
  for (const StretchNodes& s : lines.stretches) {
    of_line[s.line].insert(of_line[s.line].end(), s.nodes.begin(), s.nodes.end());
  }
  choose_some(of_line, kMostOfLine, chosen);
  std::sort(chosen.begin(), chosen.end());
  chosen.erase(std::unique(chosen.begin(), chosen.end()), chosen.end());
  return chosen;
}

std::vector<NodePair> at_chosen(std::vector<NodePair> pairs, const std::vector<std::size_t>& chosen) {
  for (NodePair& pair : pairs) {
    pair = {slot_of(pair.from, chosen), slot_of(pair.to, chosen)};
    if (std::max(pair.from, pair.to) == chosen.size()) pair = {};
  }
  return pairs;
}

MarkerEvidence at_chosen(MarkerEvidence markers, const std::vector<std::size_t>& chosen) {
  std::vector<NodeSighting> sightings;
  for (NodeSighting& s : markers.sightings) {
    s.node = slot_of(s.node, chosen);
    if (s.node < chosen.size()) sightings.push_back(s);
  }
  markers.sightings = std::move(sightings);
  return markers;
}

LineEvidence at_chosen(LineEvidence lines, const std::vector<std::size_t>& chosen) {
  for (StretchNodes& stretch : lines.stretches) {
    for (std::size_t& node : stretch.nodes) node = slot_of(node, chosen);
    std::erase(stretch.nodes, chosen.size());
  }
  std::erase_if(lines.stretches, [](const StretchNodes& stretch) { return stretch.nodes.size() < 2; });
  return lines;
}

}  // namespace wainscot
