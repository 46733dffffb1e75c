#include "io/spelling.hpp"

#include <algorithm>

#include <fmt/format.h>
#include <utf8.h>

namespace wainscot {
namespace {

bool is_control(char c) { return static_cast<unsigned char>(c) < 0x20 || c == '\x7f'; }

}  // namespace

std::size_t utf8_length(std::string_view text) {
  constexpr std::size_t kLongest = 4;
  for (std::size_t length = 1; length <= std::min(kLongest, text.size()); ++length) {
    const std::string_view first = text.substr(0, length);
    if (utf8::find_invalid(first.begin(), first.end()) == first.end()) return length;
  }
  return 0;
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

std::string shell_word(const std::string& word) {
  constexpr const char* plain = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_./-+=:,@";
  if (!word.empty() && word.find_first_not_of(plain) == std::string::npos) return word;
  std::string quoted = "'";
  for (const char c : word) quoted += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return quoted + "'";
}

}  // namespace wainscot
