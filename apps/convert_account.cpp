#include "apps/convert_account.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "io/files/shown.hpp"
#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kMostKindsShown = 8;

std::string table_line(const ConvertedTable& table, std::size_t beams) {
  const double length_s = table.last_s - table.first_s;
  std::string text = fmt::format("  {}: ", table.file);
  if (table.section == "scans") {
    text += fmt::format("{} of {}", count_text(table.rows, "scan"), count_text(beams, "range"));
  } else {
    text += count_text(table.rows, table.section == "returns" ? "beam" : "row");
  }
  if (length_s > 0.0) text += fmt::format(", {:.1f} a second", static_cast<double>(table.rows - 1) / length_s);
  return text + fmt::format(", {:.2f} to {:.2f} s, from {}\n", table.first_s, table.last_s, table.log);
}

std::string others_line(const ConvertedLog& log) {
  std::size_t count = 0;
  std::vector<std::pair<std::size_t, std::string>> kinds;
  for (const auto& [kind, lines] : log.others) {
    count += lines;
    if (!kind.empty()) kinds.emplace_back(lines, kind);
  }
  if (count == 0) return {};
  std::sort(kinds.rbegin(), kinds.rend());
  std::string text;
  for (std::size_t i = 0; i < std::min(kinds.size(), kMostKindsShown); ++i) {
    text += fmt::format("{}{} ({})", i > 0 ? ", " : ": ", kinds[i].second, whole_text(kinds[i].first));
  }
  if (kinds.size() > kMostKindsShown) text += ", ...";
  return fmt::format("  {}: {} of other kinds not used{}\n", log.log, count_text(count, "line"), text);
}

const char* robot_text(RobotFile robot) {
  switch (robot) {
    case RobotFile::given:
      return "";
    case RobotFile::kept:
      return "Its robot.yaml is the one that was there.\n";
    case RobotFile::guessed:
      return "Its robot.yaml holds what wheels and scans told of the robot; what you measure yourself is better.\n";
    case RobotFile::starter:
      break;
  }
  return "Its robot.yaml is one to begin with: measure the robot and write the figures into it, or give your own as "
         "--robot.\n";
}

}  // namespace

std::string convert_account(const Conversion& conversion, RobotFile robot, const std::filesystem::path& drive) {
  double first_s = conversion.tables.front().first_s;
  double last_s = conversion.tables.front().last_s;
  for (const ConvertedTable& table : conversion.tables) {
    first_s = std::min(first_s, table.first_s);
    last_s = std::max(last_s, table.last_s);
  }
  std::string text = fmt::format("{}: a drive of {}.\n", shown(drive), duration_text(last_s - first_s));
  for (const ConvertedTable& table : conversion.tables) text += table_line(table, conversion.beams);
  for (const ConvertedLog& log : conversion.logs) text += others_line(log);
  return text + robot_text(robot) + fmt::format("Next:\n  wainscot check {}\n", shell_word(drive.string()));
}

}  // namespace wainscot
