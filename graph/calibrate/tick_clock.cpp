#include "graph/calibrate/tick_clock.hpp"

#include <algorithm>
#include <cmath>

namespace wainscot {

Ticks TickClock::at(double time_s) const {
  if (time_s <= wheels_.front().time_s) return row(0);
  if (time_s >= wheels_.back().time_s) return row(wheels_.size() - 1);
  const std::size_t after = index_after(time_s);
  const double u = (time_s - wheels_[after - 1].time_s) / (wheels_[after].time_s - wheels_[after - 1].time_s);
  const Ticks a = row(after - 1);
  const Ticks b = row(after);
  return {std::lerp(a.left, b.left, u), std::lerp(a.right, b.right, u)};
}

std::vector<Ticks> TickClock::pieces(double begin_s, double end_s) const {
  std::vector<Ticks> all;
  Ticks before = at(begin_s);
  const auto add_until = [&](const Ticks& now) {
    all.push_back({now.left - before.left, now.right - before.right});
    before = now;
  };
  std::size_t next = begin_s < wheels_.front().time_s ? 0 : index_after(begin_s);
  for (; next < wheels_.size() && wheels_[next].time_s < end_s; ++next) add_until(row(next));
  add_until(at(end_s));
  return all;
}

Ticks TickClock::row(std::size_t i) const {
  return {static_cast<double>(wheels_[i].left_ticks), static_cast<double>(wheels_[i].right_ticks)};
}

std::size_t TickClock::index_after(double time_s) const {
  const auto after = std::upper_bound(wheels_.begin(), wheels_.end(), time_s,
                                      [](double t, const WheelCounts& w) { return t < w.time_s; });
  return static_cast<std::size_t>(after - wheels_.begin());
}

}  // namespace wainscot
