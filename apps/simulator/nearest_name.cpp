#include "apps/simulator/nearest_name.hpp"

#include <algorithm>
#include <cstddef>

namespace wainscot::simulator {

namespace {

std::size_t changes(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t replaced = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
      diagonal = row[j];
      row[j] = std::min({replaced, row[j] + 1, row[j - 1] + 1});
    }
  }
  return row[b.size()];
}

}  // namespace

std::string nearest_name(std::string_view name, const std::vector<std::string_view>& known) {
  return std::string(*std::min_element(known.begin(), known.end(), [&](std::string_view a, std::string_view b) {
    return changes(name, a) < changes(name, b);
  }));
}

}  // namespace wainscot::simulator
