#include "graph/seen_round.hpp"

#include <cmath>
#include <cstddef>

namespace wainscot {

bool is_seen_all_round(const OccupancyGrid& grid, std::int32_t column, std::int32_t row) {
  constexpr std::int32_t kReach = 2;  // cells: as far as a return's noise puts what it saw
  const GridFrame& frame = grid.frame;
  for (std::int32_t r = row - kReach; r <= row + kReach; ++r) {
    for (std::int32_t c = column - kReach; c <= column + kReach; ++c) {
      if (r < 0 || c < 0 || r >= frame.rows || c >= frame.columns) return false;
      const std::size_t cell =
          static_cast<std::size_t>(r) * static_cast<std::size_t>(frame.columns) + static_cast<std::size_t>(c);
      if (std::isnan(grid.probability[cell])) return false;
    }
  }
  return true;
}

}  // namespace wainscot
