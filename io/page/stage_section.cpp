#include "io/page/stage_section.hpp"

#include <algorithm>
#include <cstddef>
#include <vector>

#include <fmt/format.h>

#include "io/number_text.hpp"

namespace wainscot {
namespace {

struct Figure {
  const char* id;  ///< as summary.json names it
  const char* name;
  std::string value;
};

std::string figure_list(const char* title, const char* what, const std::vector<Figure>& list) {
  std::string html = fmt::format("<h3>{}</h3>\n<p class=\"soft\">{}</p>\n<dl>\n", title, what);
  for (const Figure& f : list) {
    html += fmt::format("<div><dt>{}</dt><dd data-figure=\"{}\">{}</dd></div>\n", f.name, f.id, f.value);
  }
  return html + "</dl>\n";
}

std::size_t count_edges(const PoseGraph& graph, EdgeKind kind) {
  return static_cast<std::size_t>(
      std::count_if(graph.edges.begin(), graph.edges.end(), [kind](const Edge& e) { return e.kind == kind; }));
}

}  // namespace

std::string stage_section(const Map& map) {
  const Quality& q = map.quality;
  const auto whole = [](int count) { return whole_text(static_cast<std::size_t>(count)); };
  const auto accepted = std::count_if(map.candidates.begin(), map.candidates.end(),
                                      [](const LoopCandidate& c) { return c.verdict == Verdict::accepted; });
  std::string html = "<section aria-labelledby=\"figures\"><h2 id=\"figures\">Stage by stage</h2>\n";
  html +=
      figure_list("Reading", "Wheels and scans on one clock.",
                  {{"path_length_m", "Path length", length_text(q.path_length_m)},
                   {"duration_s", "Duration", duration_text(q.duration_s)},
                   {"scans_used", "Scans used", count_text(static_cast<std::size_t>(q.scans_used), "scan")},
                   {"scans_outside_odometry", "Left out: outside odometry's times", whole(q.scans_outside_odometry)},
                   {"scans_without_enough_returns", "Left out: too few returns", whole(q.scans_without_enough_returns)},
                   {"scans_while_carried", "Left out: carried or sliding", whole(q.scans_while_carried)}});
  html += figure_list(
      "Matching", "Each scan against the walls seen just before it; some become nodes of the graph.",
      {{"nodes", "Nodes", whole_text(map.graph.nodes.size())},
       {"match_edges", "Matches between nodes", whole_text(count_edges(map.graph, EdgeKind::match))},
       {"odometry_edges", "Nodes that odometry alone ties", whole_text(count_edges(map.graph, EdgeKind::odometry))},
       {"way_left_open_m", "Way along which walls left a direction open", length_text(q.way_left_open_m)}});
  html += figure_list(
      "Closing loops", "Places that the robot came back to; the cost is half of χ².",
      {{"closures", "Loop closures",
        fmt::format("{} accepted of {}", accepted, count_text(map.candidates.size(), "candidate"))},
       {"cost", "Cost before and after", fixed_text(q.cost_before, 1) + " → " + fixed_text(q.cost_after, 1)},
       {"start_to_end_odometry_m", "Odometry alone ends off by", length_text(q.start_to_end_odometry_m)}});
  html +=
      figure_list("Adjusting", "Path, wall pieces and the robot's constants together.",
                  {{"wall_pieces", "Wall pieces", whole_text(map.wall_pieces.size())},
                   {"residual_rms_m", "Returns' distance from their piece (RMS)", length_text(q.residual_rms_m)},
                   {"place_sd_m", "Places against the whole", length_text(q.place_sd_m)},
                   {"place_sd_worst_m", "Places against the whole, worst", length_text(q.place_sd_worst_m)},
                   {"position_sd_median_m", "Places against the start, median", length_text(q.position_sd_median_m)},
                   {"position_sd_worst_m", "Places against the start, worst", length_text(q.position_sd_worst_m)},
                   {"heading_sd_median_rad", "Heading uncertainty, median", angle_text(q.heading_sd_median_rad)},
                   {"heading_sd_worst_rad", "Heading uncertainty, worst", angle_text(q.heading_sd_worst_rad)},
                   {"scale_sd", "Scale uncertainty", percent_text(q.scale_sd)}});
  html +=
      figure_list("Drawing", "Every beam of every scan, from its place on the path.",
                  {{"cells", "Cells of the grid", fmt::format("{} × {}", map.grid.frame.columns, map.grid.frame.rows)},
                   {"matched_fraction", "Returns on walls of the grid", percent_text(q.matched_fraction)},
                   {"changes", "Doors and things that were moved", whole_text(map.changes.size())}});
  return html + "</section>\n";
}

}  // namespace wainscot
