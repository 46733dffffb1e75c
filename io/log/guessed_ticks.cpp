#include "io/log/guessed_ticks.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <utility>

#include "core/median.hpp"

namespace wainscot {

double guessed_m_per_tick(const std::vector<WheelCounts>& rows, int counter_bits) {
  constexpr double kPaceM_s = 0.25;  // README asks for 0.2 to 0.4 m/s, and turns are slower
  constexpr double kFineM = 1e-4;
  // Wheels that count in one row of ten are asked over ten rows, or their ticks would seem to come in bursts.
  const std::size_t stride = std::max<std::size_t>(1, rows.size() / 1000);
  const double range = std::ldexp(1.0, counter_bits);
  std::vector<double> ticks_a_second;
  for (std::size_t i = stride; i < rows.size(); i += stride) {
    const WheelCounts& from = rows[i - stride];
    const WheelCounts& to = rows[i];
    const auto step = [range](std::int64_t before, std::int64_t after) {
      return std::abs(std::remainder(static_cast<double>(after) - static_cast<double>(before), range));
    };
    const double ticks = std::max(step(from.left_ticks, to.left_ticks), step(from.right_ticks, to.right_ticks));
    if (ticks > 0.0) ticks_a_second.push_back(ticks / (to.time_s - from.time_s));
  }
  return ticks_a_second.empty() ? kFineM : std::min(1.0, kPaceM_s / median(std::move(ticks_a_second)));
}

}  // namespace wainscot
