#include "core/nearest_name.hpp"

#include <algorithm>
#include <numeric>
#include <utility>
#include <vector>

namespace wainscot {
namespace {

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

bool same(char a, char b) { return lower(a) == lower(b); }

}  // namespace

std::size_t edit_distance(std::string_view a, std::string_view b) {
  // After round i: changes between the first i characters of a and the first j of b, and the same of the rounds before.
  std::vector<std::size_t> row(b.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  std::vector<std::size_t> before = row;
  std::vector<std::size_t> before_that = row;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::swap(before_that, before);
    std::swap(before, row);
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t replaced = before[j - 1] + (same(a[i - 1], b[j - 1]) ? 0 : 1);
      row[j] = std::min({replaced, before[j] + 1, row[j - 1] + 1});
      if (i > 1 && j > 1 && same(a[i - 1], b[j - 2]) && same(a[i - 2], b[j - 1])) {
        row[j] = std::min(row[j], before_that[j - 2] + 1);
      }
    }
  }
  return row.back();
}

std::size_t nearest_name(std::string_view word, std::span<const std::string> known) {
  word = word.substr(0, 64);  // a longer word is near nothing, and the distance costs its length
  std::size_t best = 0;
  std::size_t least = edit_distance(word, known[0]);
  for (std::size_t i = 1; i < known.size(); ++i) {
    const std::size_t distance = edit_distance(word, known[i]);
    if (distance >= least) continue;
    best = i;
    least = distance;
  }
  return best;
}

}  // namespace wainscot
