#include "io/spelling.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>
#include <vector>

namespace wainscot {
namespace {

// The length in bytes of the well-formed UTF-8 sequence at the start of `text`, 0 where there is none (RFC 3629,
// section 4: no overlong forms, no surrogates, nothing above U+10FFFF).
std::size_t utf8_length(std::string_view text) {
  const auto byte = [&text](std::size_t i) -> unsigned { return static_cast<unsigned char>(text[i]); };
  const unsigned first = byte(0);
  if (first < 0x80) return 1;
  const std::size_t length = first >= 0xf0 ? 4 : first >= 0xe0 ? 3 : 2;
  if (first < 0xc2 || first > 0xf4 || text.size() < length) return 0;
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(i) & 0xc0) != 0x80) return 0;
  }
  const unsigned second = byte(1);
  const bool overlong = (first == 0xe0 && second < 0xa0) || (first == 0xf0 && second < 0x90);
  const bool beyond = (first == 0xed && second >= 0xa0) || (first == 0xf4 && second >= 0x90);
  return overlong || beyond ? 0 : length;
}

bool is_control(char c) { return static_cast<unsigned char>(c) < 0x20 || c == '\x7f'; }

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

}  // namespace

std::string printable(std::string_view text, std::size_t longest) {
  std::string shown;
  while (!text.empty()) {
    if (shown.size() >= longest) return shown + "...";
    const std::size_t length = utf8_length(text);
    if (length == 0 || is_control(text.front())) {
      shown += fmt::format("\\x{:02x}", static_cast<unsigned char>(text.front()));
      text.remove_prefix(1);
    } else {
      shown += text.substr(0, length);
      text.remove_prefix(length);
    }
  }
  return shown;
}

bool is_plain_text(std::string_view text) {
  while (!text.empty()) {
    const std::size_t length = utf8_length(text);
    if (length == 0 || is_control(text.front())) return false;
    text.remove_prefix(length);
  }
  return true;
}

std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  for (std::size_t i = 0; i < a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i + 1;
    for (std::size_t j = 0; j < b.size(); ++j) {
      const std::size_t replaced = diagonal + (lower(a[i]) == lower(b[j]) ? 0 : 1);
      diagonal = row[j + 1];
      row[j + 1] = std::min({replaced, row[j] + 1, diagonal + 1});
    }
  }
  return row.back();
}

std::size_t nearest_name(std::string_view word, std::span<const std::string> known) {
  word = word.substr(0, 64);  // a longer word is near nothing, and the distance costs its length
  std::size_t best = 0;
  for (std::size_t i = 1; i < known.size(); ++i) {
    if (edit_distance(word, known[i]) < edit_distance(word, known[best])) best = i;
  }
  return best;
}

}  // namespace wainscot
