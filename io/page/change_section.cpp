#include "io/page/change_section.hpp"

#include <fmt/format.h>

#include "io/number_text.hpp"

namespace wainscot {
namespace {

std::string change_row(const Change& c, const std::string& last_cells) {
  return fmt::format(
      "<tr><td>{}</td><td class=\"n\">{:.2f}, {:.2f}</td><td class=\"n\">{:.2f}, {:.2f}</td><td class=\"n\">{}</td>{}"
      "</tr>\n",
      c.door ? "door" : "other thing", c.from_m.x(), c.from_m.y(), c.to_m.x(), c.to_m.y(),
      length_text((c.to_m - c.from_m).norm()), last_cells);
}

std::string changes_between_drives(const std::vector<Change>& changes) {
  std::string rows;
  for (const Change& c : changes) {
    if (c.since_drive == 0) continue;
    rows += change_row(c, fmt::format("<td>{} since drive {}</td>", c.appeared ? "there" : "gone", c.since_drive));
  }
  if (rows.empty()) return "";
  return R"(<section aria-labelledby="between-title"><h2 id="between-title">What changed between the drives</h2>
<p>What a later drive saw otherwise than the drives before it; a thing that was moved stands here twice, gone from one place and new at another. The grid shows the house as it was seen last.</p>
<div class="table" tabindex="0" role="region" aria-label="Changes between drives"><table><thead><tr><th>what</th><th class="n">from x, y, m</th><th class="n">to x, y, m</th><th class="n">length</th><th>now</th></tr></thead><tbody>
)" + rows +
         "</tbody></table></div>\n</section>\n";
}

}  // namespace

std::string change_section(const std::vector<Change>& changes) {
  std::string rows;
  for (const Change& c : changes) {
    if (c.since_drive != 0) continue;
    rows += change_row(c, fmt::format("<td class=\"n\">{}</td><td class=\"n\">{}</td>", c.visits_there, c.visits_gone));
  }
  if (rows.empty()) return changes_between_drives(changes);
  return R"(<section aria-labelledby="changes-title"><h2 id="changes-title">What changed during the drive</h2>
<p>Seen there during some visits and seen through during others. What is straight, thin and as long as a door leaf is taken for a door; the grid shows it as neither wall nor free floor. A pane that lets most beams through may look like one.</p>
<div class="table" tabindex="0" role="region" aria-label="Changes"><table><thead><tr><th>what</th><th class="n">from x, y, m</th><th class="n">to x, y, m</th><th class="n">length</th><th class="n">visits there</th><th class="n">visits gone</th></tr></thead><tbody>
)" + rows +
         "</tbody></table></div>\n</section>\n" + changes_between_drives(changes);
}

}  // namespace wainscot
