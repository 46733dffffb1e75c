#include "graph/drive_part.hpp"

#include <algorithm>

namespace wainscot {

std::size_t part_of_scan(const std::vector<DrivePart>& parts, std::size_t scan) {
  const auto after = std::upper_bound(parts.begin(), parts.end(), scan,
                                      [](std::size_t index, const DrivePart& part) { return index < part.first_scan; });
  return after == parts.begin() ? 0 : static_cast<std::size_t>(after - parts.begin()) - 1;
}

std::size_t part_at(const std::vector<DrivePart>& parts, double time_s) {
  const auto after = std::upper_bound(parts.begin(), parts.end(), time_s,
                                      [](double time, const DrivePart& part) { return time < part.from_s; });
  return after == parts.begin() ? 0 : static_cast<std::size_t>(after - parts.begin()) - 1;
}

}  // namespace wainscot
