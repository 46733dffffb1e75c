#include "io/page/residual_section.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "core/median.hpp"
#include "graph/edge_residuals.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

/// One row of the table of residuals, "" where there is no edge of the kind.
std::string residual_row(const PoseGraph& graph, const std::vector<EdgeResidual>& residuals, EdgeKind kind,
                         const char* name) {
  std::vector<double> shift_m;
  std::vector<double> turn_rad;
  std::vector<double> chi_squared;
  for (std::size_t i = 0; i < residuals.size(); ++i) {
    if (graph.edges[i].kind != kind) continue;
    shift_m.push_back(residuals[i].error.head<2>().norm());
    turn_rad.push_back(std::abs(residuals[i].error.z()));
    chi_squared.push_back(residuals[i].chi_squared);
  }
  if (shift_m.empty()) return "";
  std::string html = fmt::format("<tr><th scope=\"row\">{}</th><td class=\"n\" data-label=\"edges\">{}</td>", name,
                                 whole_text(shift_m.size()));
  for (const auto& [share, label] : {std::pair{0.5, "median"}, {0.95, "95 % below"}, {1.0, "worst"}}) {
    fmt::format_to(std::back_inserter(html),
                   "<td class=\"n\" data-label=\"{0}\">{1}</td><td class=\"n\" data-label=\"{0}, turn\">{2}</td>",
                   label, length_text(quantile(shift_m, share)), angle_text(quantile(turn_rad, share)));
  }
  return html + fmt::format("<td class=\"n\" data-label=\"χ², median\">{}</td></tr>\n",
                            fixed_text(quantile(chi_squared, 0.5), 2));
}

}  // namespace

std::string residual_section(const PoseGraph& graph) {
  if (graph.edges.empty()) return "";
  const std::vector<EdgeResidual> residuals = edge_residuals(graph);
  // The median of chi squared with 3 degrees of freedom: NIST/SEMATECH e-Handbook, 1.3.6.6.6 (its quantile function).
  std::string html = R"(<section aria-labelledby="residuals"><h2 id="residuals">Residuals</h2>
<p>How far the finished map stands from what each match, closure or stretch of odometry had measured. Walls that many scans share have the last word, so a residual is what one measurement was corrected by. If measurements were as good as they say and independent, half of the χ² would lie below 2.37.</p>
<div class="table" tabindex="0" role="region" aria-label="Residuals of the graph's edges"><table class="stacked"><thead><tr><th scope="col">measured by</th><th scope="col" class="n">edges</th><th scope="col" class="n">median</th><th scope="col" class="n">turn</th><th scope="col" class="n">95 % below</th><th scope="col" class="n">turn</th><th scope="col" class="n">worst</th><th scope="col" class="n">turn</th><th scope="col" class="n">χ², median</th></tr></thead><tbody>
)";
  html += residual_row(graph, residuals, EdgeKind::match, "match with the walls before");
  html += residual_row(graph, residuals, EdgeKind::closure, "loop closure");
  html += residual_row(graph, residuals, EdgeKind::odometry, "odometry alone");
  html += R"(</tbody></table></div>
<div id="residuals-live" class="script-only chart">
<p class="soft">Over the drive's time; a click sets the map's time slider. Small dots: matches; larger ones: closures; squares: odometry alone.</p>
<figure><figcaption>Shift</figcaption><svg id="chart-shift" role="img" aria-label="Each edge's residual shift over time; the table above has its median, 95 % and worst"></svg></figure>
<figure><figcaption>Turn</figcaption><svg id="chart-turn" role="img" aria-label="Each edge's residual turn over time; the table above has its median, 95 % and worst"></svg></figure>
</div>
</section>
)";
  return html;
}

}  // namespace wainscot
