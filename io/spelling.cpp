#include "io/spelling.hpp"

#include <fmt/format.h>

namespace wainscot {
namespace {

bool is_control(char c) { return static_cast<unsigned char>(c) < 0x20 || c == '\x7f'; }

}  // namespace

std::size_t utf8_length(std::string_view text) {
  // RFC 3629, section 4: no overlong forms, no surrogates, nothing above U+10FFFF.
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

}  // namespace wainscot
