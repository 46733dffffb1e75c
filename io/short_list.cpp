#include "io/short_list.hpp"

#include <algorithm>
#include <cstddef>

#include <fmt/format.h>

#include "io/number_text.hpp"

namespace wainscot {

std::string short_list(const std::string& heading, const std::vector<std::string>& lines, const std::string& where) {
  constexpr std::size_t kMostLines = 10;
  if (lines.empty()) return {};
  std::string text = heading + "\n";
  for (std::size_t i = 0; i < std::min(kMostLines, lines.size()); ++i) text += "  " + lines[i] + "\n";
  if (lines.size() > kMostLines) text += fmt::format("  and {} more{}\n", whole_text(lines.size() - kMostLines), where);
  return text;
}

}  // namespace wainscot
