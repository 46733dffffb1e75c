#include "apps/filled_lines.hpp"

#include <algorithm>

namespace wainscot {
namespace {

bool goes_on(char c) { return (static_cast<unsigned char>(c) & 0xc0U) == 0x80U; }

/// How many bytes of a word of more than `room` characters go on a line.
std::size_t parting(std::string_view word, std::size_t room) {
  std::size_t most = 0;
  for (std::size_t seen = 0; seen <= room; ++most) {
    if (!goes_on(word[most])) ++seen;
  }
  --most;  // where the character begins that is one too many
  const std::size_t mark = word.substr(0, most).find_last_of(",;/|=");
  return mark == std::string_view::npos ? most : mark + 1;
}

}  // namespace

std::size_t characters(std::string_view text) {
  return text.size() - static_cast<std::size_t>(std::count_if(text.begin(), text.end(), goes_on));
}

std::vector<std::string> filled_lines(std::string_view paragraph, std::size_t room) {
  std::vector<std::string> lines(1);
  while (!paragraph.empty()) {
    const std::size_t blank = std::min(paragraph.find(' '), paragraph.size());
    std::string_view word = paragraph.substr(0, blank);
    paragraph.remove_prefix(std::min(blank + 1, paragraph.size()));
    if (word.empty()) continue;
    if (!lines.back().empty() && characters(lines.back()) + 1 + characters(word) > room) lines.emplace_back();
    while (characters(word) > room) {
      const std::size_t part = parting(word, room);
      lines.back() = word.substr(0, part);
      lines.emplace_back();
      word.remove_prefix(part);
    }
    if (!lines.back().empty()) lines.back() += ' ';
    lines.back() += word;
  }
  return lines;
}

}  // namespace wainscot
