#include "apps/simulator/nearest_name.hpp"

#include <algorithm>
#include <cstddef>

namespace wainscot::simulator {

namespace {

std::size_t changes(std::string_view a, std::string_view b) {
  // rows[i][j]: changes between the first i letters of a and the first j of b.
  std::vector<std::vector<std::size_t>> rows(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) {
    for (std::size_t j = 0; j <= b.size(); ++j) {
      if (i == 0 || j == 0) {
        rows[i][j] = i + j;
        continue;
      }
      const std::size_t replaced = rows[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      rows[i][j] = std::min({replaced, rows[i - 1][j] + 1, rows[i][j - 1] + 1});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        rows[i][j] = std::min(rows[i][j], rows[i - 2][j - 2] + 1);
      }
    }
  }
  return rows[a.size()][b.size()];
}

}  // namespace

std::string nearest_name(std::string_view name, const std::vector<std::string_view>& known) {
  return std::string(*std::min_element(known.begin(), known.end(), [&](std::string_view a, std::string_view b) {
    return changes(name, a) < changes(name, b);
  }));
}

}  // namespace wainscot::simulator
