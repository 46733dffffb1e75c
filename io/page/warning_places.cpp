#include "io/page/warning_places.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

#include "graph/mapping/doubts.hpp"

namespace wainscot {
namespace {

using NodeNumbers = std::vector<std::size_t>;

/// Nodes to which odometry alone leads.
NodeNumbers loose_nodes(const PoseGraph& graph) {
  NodeNumbers nodes;
  for (const Edge& edge : graph.edges) {
    if (edge.kind == EdgeKind::odometry && graph.nodes[edge.from].drive == graph.nodes[edge.to].drive) {
      nodes.push_back(edge.to);
    }
  }
  std::sort(nodes.begin(), nodes.end());
  return nodes;
}

NodeNumbers nodes_less_sure_than(const Map& map, double sd_m) {
  NodeNumbers nodes;
  for (std::size_t i = 0; i < map.place_sds_m.size(); ++i) {
    if (map.place_sds_m[i] > sd_m) nodes.push_back(i);
  }
  return nodes;
}

/// Against the first: parts that nothing joins have no common whole.
NodeNumbers nodes_not_joined(const PoseGraph& graph) {
  NodeNumbers nodes;
  for (std::size_t i = 1; i < graph.nodes.size(); ++i) {
    if (graph.nodes[i].covariance.topLeftCorner<2, 2>().trace() > kNotJoinedM * kNotJoinedM) nodes.push_back(i);
  }
  return nodes;
}

NodeNumbers node_at(const PoseGraph& graph, double time_s) {
  if (graph.nodes.empty()) return {};
  const auto nearer = [time_s](const Node& a, const Node& b) {
    return std::abs(a.time_s - time_s) < std::abs(b.time_s - time_s);
  };
  return {
      static_cast<std::size_t>(std::min_element(graph.nodes.begin(), graph.nodes.end(), nearer) - graph.nodes.begin())};
}

/// The jump that a warning tells of, or of the sentence on those that it does not tell one by one, these.
NodeNumbers jumps_told(const Map& map, const std::string& warning, const std::vector<std::string>& warnings) {
  const auto told_by = [&map](std::size_t node, const std::string& text) {
    const std::string times = fmt::format("etween {:.1f} and {:.1f} s odometry went wrong",
                                          map.graph.nodes[node - 1].time_s, map.graph.nodes[node].time_s);
    return text.find(times) != std::string::npos;
  };
  NodeNumbers told;
  NodeNumbers others;
  for (const std::size_t node : map.troubles.jumps) {
    if (map.graph.nodes.at(node - 1).drive != map.graph.nodes.at(node).drive) continue;
    if (told_by(node, warning)) told.push_back(node);
    if (std::none_of(warnings.begin(), warnings.end(), [&](const auto& text) { return told_by(node, text); })) {
      others.push_back(node);
    }
  }
  return warning.find("times more: look for wheels that slip") != std::string::npos ? others : told;
}

NodeNumbers nodes_of(const Map& map, const std::string& warning, const std::vector<std::string>& warnings) {
  const auto says = [&warning](std::string_view part) { return warning.find(part) != std::string::npos; };
  if (says("the walls told nothing of one direction")) return map.troubles.left_open;
  if (says("fit no wall that was seen before them")) return loose_nodes(map.graph);
  if (says("the place of the least certain part")) return nodes_less_sure_than(map, kLooseM);
  if (says("a part of the map is not joined to the rest")) return nodes_not_joined(map.graph);
  if (says("tied to the rest by odometry alone")) return map.troubles.unjoined;
  if (says("spanned by no loop")) return map.troubles.unconfirmed;
  if (says("of markers.csv") && !map.markers.left_out.empty()) {
    return node_at(map.graph, map.markers.left_out.front().time_s);
  }
  if (says("of followed.csv") && !map.lines.left_out.empty()) {
    return node_at(map.graph, map.lines.left_out.front().from_s);
  }
  return jumps_told(map, warning, warnings);
}

/// The way to each node from the one before, ways that follow one another as one line.
void add_stretches(const PoseGraph& graph, const NodeNumbers& nodes, std::size_t warning,
                   std::vector<WarningPlace>& places) {
  std::size_t last = graph.nodes.size();
  for (const std::size_t node : nodes) {
    if (node >= graph.nodes.size()) continue;
    if (last + 1 != node) {
      places.push_back({warning, {}});
      const bool begins = node == 0 || graph.nodes[node - 1].drive != graph.nodes[node].drive;
      if (!begins) places.back().line_m.push_back(graph.nodes[node - 1].pose.translation());
    }
    places.back().line_m.push_back(graph.nodes[node].pose.translation());
    last = node;
  }
}

}  // namespace

std::vector<WarningPlace> warning_places(const Map& map, const std::vector<std::string>& warnings) {
  std::vector<WarningPlace> places;
  for (std::size_t i = 0; i < warnings.size(); ++i) {
    add_stretches(map.graph, nodes_of(map, warnings[i], warnings), i, places);
    for (const MappedLine& line : map.lines.lines) {
      if (warnings[i].find("line " + line.name + " lies ") == 0) places.push_back({i, {line.from_m, line.to_m}});
    }
  }
  return places;
}

}  // namespace wainscot
