#include "apps/simulator/held_rows.hpp"

#include <algorithm>

namespace wainscot::simulator {

HeldRows::HeldRows(const Defects& defects, std::uint64_t seed)
    : hold_s_(defects.odometry_hold_s), random_(seed, "odometry_holds_per_minute") {
  per_s_ = defects.odometry_holds_per_minute.draw(random_) / 60.0;
}

std::vector<double> HeldRows::stamps(const std::vector<double>& times_s) {
  std::vector<double> late = times_s;
  std::size_t i = 1;
  while (i + 1 < times_s.size()) {
    if (!random_.chance(per_s_ * (times_s[i] - times_s[i - 1]))) {
      ++i;
      continue;
    }
    const double until_s = times_s[i] + hold_s_.draw(random_);
    std::size_t end = i;
    while (end + 1 < times_s.size() && times_s[end + 1] <= until_s) ++end;
    if (end + 1 == times_s.size()) break;  // the log ends before the buffer empties
    // Stamped from the last row's own time on, before the next row comes.
    const double rows = static_cast<double>(end - i + 1);
    const double within_s = std::min(kEmptied_s, 0.5 * (times_s[end + 1] - times_s[end]));
    for (std::size_t k = i; k <= end; ++k) {
      late[k] = times_s[end] + within_s * static_cast<double>(k - i) / rows;
    }
    i = end + 1;
  }
  return late;
}

}  // namespace wainscot::simulator
