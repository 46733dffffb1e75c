#include "core/median.hpp"

#include <algorithm>
#include <cstddef>
#include <utility>

namespace wainscot {

double median(std::vector<double> values) { return quantile(std::move(values), 0.5); }

double quantile(std::vector<double> values, double share) {
  if (values.empty()) return 0.0;
  const std::size_t rank =
      std::min(values.size() - 1, static_cast<std::size_t>(share * static_cast<double>(values.size())));
  const auto place = values.begin() + static_cast<std::ptrdiff_t>(rank);
  std::nth_element(values.begin(), place, values.end());
  return *place;
}

}  // namespace wainscot
