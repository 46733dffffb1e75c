#include "io/page/closure_section.hpp"

#include <algorithm>
#include <cstddef>
#include <iterator>
#include <span>
#include <vector>

#include <fmt/format.h>

#include "io/markup.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

/// Those of a verdict, the largest correction first: they tell the most.
std::vector<std::size_t> candidate_order(const std::vector<LoopCandidate>& candidates, Verdict verdict) {
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < candidates.size(); ++i) {
    if (candidates[i].verdict == verdict) order.push_back(i);
  }
  const auto moved_m = [&candidates](std::size_t i) {
    return between(candidates[i].predicted, candidates[i].found).translation().norm();
  };
  std::stable_sort(order.begin(), order.end(),
                   [&moved_m](std::size_t a, std::size_t b) { return moved_m(a) > moved_m(b); });
  return order;
}

std::string candidate_table(const Map& map, Verdict verdict, const char* label, std::size_t most_rows) {
  std::string html = fmt::format(
      "<div class=\"table\" tabindex=\"0\" role=\"region\" aria-label=\"{}\"><table><thead><tr><th scope=\"col\" "
      "class=\"n\">number</th><th scope=\"col\" class=\"n\">first time, s</th><th scope=\"col\" class=\"n\">again, "
      "s</th><th scope=\"col\" class=\"n\">moved</th><th scope=\"col\" class=\"n\">turned</th><th scope=\"col\" "
      "class=\"n\">overlap</th><th scope=\"col\" class=\"n\">seen through</th><th "
      "scope=\"col\">reason</th></tr></thead>"
      "<tbody>\n",
      label);
  const std::vector<std::size_t> order = candidate_order(map.candidates, verdict);
  for (const std::size_t i : std::span(order).first(std::min(order.size(), most_rows))) {
    const LoopCandidate& c = map.candidates[i];
    const Pose2 change = between(c.predicted, c.found);
    fmt::format_to(std::back_inserter(html),
                   "<tr><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td "
                   "class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td "
                   "class=\"why\">{}</td></tr>\n",
                   i + 1, fixed_text(map.graph.nodes.at(c.from).time_s, 1),
                   fixed_text(map.graph.nodes.at(c.to).time_s, 1), length_text(change.translation().norm()),
                   angle_text(wrap_angle(change.heading_rad)), percent_text(c.overlap), percent_text(c.contradiction),
                   html_text(c.reason));
  }
  html += "</tbody></table></div>\n";
  if (order.size() > most_rows) {
    html += fmt::format("<p class=\"soft\">The first {} of {}; graph.sqlite holds them all.</p>\n", most_rows,
                        order.size());
  }
  return html;
}

/// Both scans of one candidate over each other, filled in by the script.
constexpr const char* candidate_viewer = R"(<div id="candidates-live" class="script-only">
<div class="bar"><label>Show <select id="candidate-filter"><option value="all">all candidates</option><option value="accepted">accepted</option><option value="rejected">rejected</option></select></label>
<label>Candidate <select id="candidate"></select></label>
<button type="button" id="candidate-before">Previous</button><button type="button" id="candidate-next">Next</button></div>
<p role="status"><strong id="candidate-verdict"></strong><span id="candidate-reason"></span> <span id="candidate-figures"></span></p>
<div class="overlays">
<figure><figcaption>Before the search</figcaption><svg id="overlay-before" role="img" aria-label="Both scans before the search"><path class="earlier"/><path class="later"/></svg><p id="overlay-before-words" class="soft"></p></figure>
<figure><figcaption>After the search</figcaption><svg id="overlay-after" role="img" aria-label="Both scans after the search"><path class="earlier"/><path class="later"/></svg><p id="overlay-after-words" class="soft"></p></figure>
<figure><figcaption>In the finished map</figcaption><svg id="overlay-final" role="img" aria-label="Both scans in the finished map"><path class="earlier"/><path class="later"/></svg><p id="overlay-final-words" class="soft"></p></figure>
</div>
<p class="soft"><span class="key earlier"></span> the earlier place, thick dots; <span class="key later"></span> the later one, thin dots. Each is what was seen within 1.5 m of way; the test takes up to twice that where a scan shows a part of the circle only.</p>
<div class="bar"><button type="button" id="candidate-first">Set the map to the first time</button><button type="button" id="candidate-again">Set the map to the time of the return</button></div>
</div>
)";

}  // namespace

std::string closure_section(const Map& map, bool loops_closed) {
  constexpr std::size_t most_rows = 200;
  std::string html = "<section aria-labelledby=\"closures-title\"><h2 id=\"closures-title\">Loop closures</h2>\n";
  if (!loops_closed) return html + "<p>None: the map was made with --no-loop-closure.</p>\n</section>\n";
  const auto accepted =
      static_cast<std::size_t>(std::count_if(map.candidates.begin(), map.candidates.end(),
                                             [](const LoopCandidate& c) { return c.verdict == Verdict::accepted; }));
  const std::size_t rejected = map.candidates.size() - accepted;
  html +=
      "<p>Where the robot came back to a place that it knew. “Moved” and “turned” say how far the place lay from "
      "where it was expected; “seen through” is the share of returns beyond a known wall or on known free floor."
      "</p>\n";
  if (accepted == 0) html += "<p>None was accepted.</p>\n";
  if (!map.candidates.empty()) html += candidate_viewer;
  const auto fold = [&](std::size_t count, const std::string& noun, const char* label, Verdict verdict) {
    if (count == 0) return;
    const bool open = verdict == Verdict::accepted && count <= 15;
    fmt::format_to(std::back_inserter(html), "<details{}><summary>{}, with reasons</summary>\n{}</details>\n",
                   open ? " open=\"open\"" : "", count_text(count, noun),
                   candidate_table(map, verdict, label, most_rows));
  };
  fold(accepted, "accepted closure", "Accepted closures", Verdict::accepted);
  fold(rejected, "rejected candidate", "Rejected candidates", Verdict::rejected);
  return html + "</section>\n";
}

}  // namespace wainscot
