#include "io/convert/column_words.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <cstddef>
#include <span>
#include <string>
#include <vector>

namespace wainscot {
namespace {

/// The words of a name in small letters: what lies between points, digits and changes from small to large letters.
std::vector<std::string> words_of(std::string_view label) {
  std::vector<std::string> words(1);
  bool was_small = false;
  for (const char c : label) {
    const auto byte = static_cast<unsigned char>(c);
    const bool letter = std::isalpha(byte) != 0 || byte >= 0x80;
    const bool large = std::isupper(byte) != 0;
    if ((!letter || (large && was_small)) && !words.back().empty()) words.emplace_back();
    if (letter) words.back() += static_cast<char>(std::tolower(byte));
    was_small = letter && !large;
  }
  if (words.back().empty()) words.pop_back();
  return words;
}

bool has_word(std::string_view label, std::span<const std::string_view> wanted) {
  const std::vector<std::string> words = words_of(label);
  return std::any_of(words.begin(), words.end(), [&](const std::string& word) {
    return std::any_of(wanted.begin(), wanted.end(),
                       [&](std::string_view w) { return w.size() < 4 ? word == w : word.starts_with(w); });
  });
}

constexpr std::array<std::string_view, 24> kTime = {
    "t",    "time",   "ts",    "stamp", "timestamp", "clock", "millis", "micros", "zeit", "uhr",   "temps", "horo",
    "hora", "tiempo", "tempo", "ora",   "tid",       "aika",  "czas",   "cas",    "idő",  "zaman", "sec",   "ms"};
constexpr std::array<std::string_view, 14> kBegin = {"start", "first",  "begin",  "from",  "von",  "anfang", "debut",
                                                     "début", "inizio", "inicio", "desde", "alku", "zero",   "origin"};
constexpr std::array<std::string_view, 16> kLeft = {"l",   "left",  "lft", "links", "linke", "li",   "gauche", "g",
                                                    "izq", "sinis", "sx",  "esq",   "vasen", "lewy", "lev",    "sol"};
constexpr std::array<std::string_view, 16> kRight = {"r",   "right", "rgt", "rechts", "rechte", "re",   "droit", "d",
                                                     "der", "destr", "dx",  "dir",    "oikea",  "praw", "prav",  "sag"};

/// Whether the words agree with the list: whole for short ones, by their beginnings else.
bool any_side(const std::vector<std::string>& words, std::span<const std::string_view> side) {
  for (const std::string& word : words) {
    for (const std::string_view name : side) {
      if (word == name || (name.size() >= 3 && word.starts_with(name))) return true;
    }
  }
  return false;
}

/// The words of `a` that are not in `b`.
std::vector<std::string> only_in(const std::vector<std::string>& a, const std::vector<std::string>& b) {
  std::vector<std::string> result;
  for (const std::string& word : a) {
    if (std::find(b.begin(), b.end(), word) == b.end()) result.push_back(word);
  }
  return result;
}

/// "wl" and "wr" without what both begin with.
void drop_common_start(std::vector<std::string>& a, std::vector<std::string>& b) {
  if (a.size() != 1 || b.size() != 1) return;
  const std::size_t shorter = std::min(a[0].size(), b[0].size());
  std::size_t same = 0;
  while (same + 1 < shorter && a[0][same] == b[0][same]) ++same;
  a.push_back(a[0].substr(same));
  b.push_back(b[0].substr(same));
}

}  // namespace

bool is_time_word(std::string_view label) { return has_word(label, kTime); }

bool is_begin_word(std::string_view label) { return has_word(label, kBegin); }

int left_before_right(std::string_view first, std::string_view second) {
  const std::vector<std::string> all_first = words_of(first), all_second = words_of(second);
  std::vector<std::string> a = only_in(all_first, all_second), b = only_in(all_second, all_first);
  drop_common_start(a, b);
  if (any_side(a, kLeft) && any_side(b, kRight)) return 1;
  if (any_side(a, kRight) && any_side(b, kLeft)) return -1;
  return 0;
}

}  // namespace wainscot
