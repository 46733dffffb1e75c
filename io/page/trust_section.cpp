#include "io/page/trust_section.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <iterator>

#include <fmt/format.h>

#include "graph/mapping/map_verdict.hpp"
#include "io/markup.hpp"
#include "io/number_text.hpp"
#include "io/page/page_frame.hpp"
#include "io/results/scale_account.hpp"
#include "io/verdict_text.hpp"
#include "io/warnings.hpp"

namespace wainscot {
namespace {

/// How large the seen part of the house is.
std::string size_sentence(const OccupancyGrid& grid) {
  int left = grid.frame.columns;
  int right = -1;
  int low = grid.frame.rows;
  int high = -1;
  std::size_t free_cells = 0;
  for (int row = 0; row < grid.frame.rows; ++row) {
    for (int column = 0; column < grid.frame.columns; ++column) {
      const float p = grid.probability[static_cast<std::size_t>(row) * static_cast<std::size_t>(grid.frame.columns) +
                                       static_cast<std::size_t>(column)];
      if (std::isnan(p)) continue;
      left = std::min(left, column);
      right = std::max(right, column);
      low = std::min(low, row);
      high = std::max(high, row);
      if (p < 0.5F) ++free_cells;
    }
  }
  if (right < 0) return "";
  const double cell_m = grid.frame.cell_size_m;
  return fmt::format("<p>What was seen is {} wide (along x) and {} high (along y), with {} m² of free floor.</p>\n",
                     length_text((right - left + 1) * cell_m), length_text((high - low + 1) * cell_m),
                     fixed_text(static_cast<double>(free_cells) * cell_m * cell_m, 1));
}

/// What to do about a warning that does not say it itself; "" for those that do.
std::string advice(const std::string& warning) {
  struct Advice {
    const char* part;
    const char* text;
  };
  constexpr std::array<Advice, 4> known = {{
      {"outside of odometry's times", "Start recording the wheels before the lidar, and stop them after it."},
      {"odometry went wrong by",
       "Look at the map there: if walls stand twice, drive that part once more without lifting "
       "the robot and more slowly over thresholds."},
      {"the walls told nothing of one direction",
       "Check one distance along that way with a tape, or put something with "
       "corners, a box or a chair, where the walls are bare."},
      {"an unfinished last row", "Nothing is to be done: one row more or less does not matter."},
  }};
  for (const Advice& a : known) {
    if (warning.find(a.part) != std::string::npos) return a.text;
  }
  return "";
}

std::string capital(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
  return text;
}

std::string warning_list(const std::vector<std::string>& warnings) {
  if (warnings.empty()) return "<h2 id=\"trust\">Warnings</h2>\n<p>None.</p>\n";
  std::string html = "<h2 id=\"trust\">Warnings, and what to do</h2>\n<ul class=\"warnings\">\n";
  for (const std::string& warning : warnings) {
    const std::string what_to_do = advice(warning);
    html += "<li>" + html_text(warning) +
            (what_to_do.empty() ? "" : ". <strong>" + html_text(what_to_do) + "</strong>") + "</li>\n";
  }
  return html + "</ul>\n";
}

}  // namespace

std::string verdict_section(const Map& map, Drives drives) {
  const MapVerdict verdict = map_verdict(map, drives);
  std::string html = "<section aria-labelledby=\"answer\"><h2 id=\"answer\">Is it good?</h2>\n";
  fmt::format_to(std::back_inserter(html), "<p class=\"lead verdict-{}\"><strong>{}</strong></p>\n",
                 grade_name(verdict.grade), html_text(capital(verdict_sentence(verdict))));
  if (!verdict.next.empty()) {
    fmt::format_to(std::back_inserter(html), "<p class=\"next\">What now: {}.</p>\n", html_text(verdict.next));
  }
  return html + "</section>\n";
}

std::string trust_section(const Map& map, Drives drives, bool simulated) {
  const Quality& quality = map.quality;
  std::string html = "<section aria-labelledby=\"trust\">" + warning_list(all_warnings(drives, map));
  if (map_verdict(map, drives).grade != Grade::unusable) {
    fmt::format_to(
        std::back_inserter(html),
        "<p>In figures: against the map as a whole a place is believed to lie right within {} (one standard "
        "uncertainty of {}; {} at worst), its scale apart; against where the drive began within {}, scale included; "
        "a heading within {}. The scale was set by {} and is believed right within {}. To be sure, measure one long "
        "distance from wall to wall with a tape, and the same with this page's tape measure.</p>\n",
        length_text(quality.place_sd_m), count_text(map.graph.nodes.size(), "node"),
        length_text(quality.place_sd_worst_m), length_text(quality.position_sd_median_m),
        angle_text(quality.heading_sd_median_rad), html_text(quality.scale_set_by), percent_text(quality.scale_sd));
    for (const std::string& more : {tape_sentences(map.tapes), remedy_sentence(map.scale_remedies)}) {
      if (!more.empty()) html += "<p>" + html_text(capital(more)) + "</p>\n";
    }
  }
  html += size_sentence(map.grid);
  if (simulated) html += kSimulatedNote;
  return html + "</section>\n";
}

}  // namespace wainscot
