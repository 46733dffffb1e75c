#include "graph/motion/wheel_series.hpp"

#include <algorithm>

#include "core/odometry.hpp"

namespace wainscot {

WheelSeries::WheelSeries(const Drive& drive) {
  if (!drive.wheels.empty()) {
    for (const WheelCounts& row : drive.wheels) {
      times_s_.push_back(row.time_s);
      counts_.push_back({static_cast<double>(row.left_ticks), static_cast<double>(row.right_ticks)});
    }
  } else {
    const double half_m = 0.5 * track_width_m(drive.robot);
    CountPair sum;
    for (std::size_t i = 0; i < drive.odometry.size(); ++i) {
      if (i > 0) {
        const Tangent2 motion = log(between(drive.odometry[i - 1].pose, drive.odometry[i].pose));
        sum.left += motion.x() - half_m * motion.z();
        sum.right += motion.x() + half_m * motion.z();
      }
      times_s_.push_back(drive.odometry[i].time_s);
      counts_.push_back(sum);
    }
  }
  for (const std::size_t sample : drive.breaks) {
    if (sample == 0 || sample >= times_s_.size()) continue;
    const double end_s = times_s_[sample];
    const auto first = std::lower_bound(times_s_.begin(), times_s_.end(), end_s);  // of those at the same time
    if (first != times_s_.begin()) breaks_.push_back({*(first - 1), end_s});
  }
  std::sort(breaks_.begin(), breaks_.end(), [](const Break& a, const Break& b) { return a.end_s < b.end_s; });
}

CountPair WheelSeries::at(double time_s) const {
  return before(static_cast<std::size_t>(std::upper_bound(times_s_.begin(), times_s_.end(), time_s) - times_s_.begin()),
                time_s);
}

CountPair WheelSeries::before(std::size_t next, double time_s) const {
  if (time_s <= times_s_.front()) return counts_.front();
  if (time_s >= times_s_.back()) return counts_.back();
  const double u = (time_s - times_s_[next - 1]) / (times_s_[next] - times_s_[next - 1]);
  const CountPair& a = counts_[next - 1];
  const CountPair& b = counts_[next];
  return {a.left + u * (b.left - a.left), a.right + u * (b.right - a.right)};
}

CountPair WheelSeries::change(double from_s, double to_s) const {
  const CountPair a = at(from_s);
  const CountPair b = at(to_s);
  return {b.left - a.left, b.right - a.right};
}

std::vector<CountPair> WheelSeries::changes(double from_s, double to_s) const {
  std::vector<CountPair> result;
  CountPair last = at(from_s);
  for (auto next = std::upper_bound(times_s_.begin(), times_s_.end(), from_s); next != times_s_.end() && *next < to_s;
       ++next) {
    const CountPair& now = counts_[static_cast<std::size_t>(next - times_s_.begin())];
    result.push_back({now.left - last.left, now.right - last.right});
    last = now;
  }
  const CountPair end = at(to_s);
  result.push_back({end.left - last.left, end.right - last.right});
  return result;
}

bool WheelSeries::is_unknown(double from_s, double to_s) const {
  if (from_s < times_s_.front() || to_s > times_s_.back()) return true;
  // Of those that end later, the first one begins first.
  const auto next = std::upper_bound(breaks_.begin(), breaks_.end(), from_s,
                                     [](double time_s, const Break& b) { return time_s < b.end_s; });
  return next != breaks_.end() && next->begin_s < to_s;
}

WheelSeries::Onward::Onward(const WheelSeries& wheels, double from_s)
    : wheels_(&wheels),
      next_(static_cast<std::size_t>(std::upper_bound(wheels.times_s_.begin(), wheels.times_s_.end(), from_s) -
                                     wheels.times_s_.begin())) {}

CountPair WheelSeries::Onward::at(double time_s) {
  const std::vector<double>& times_s = wheels_->times_s_;
  for (++looked_at_; next_ < times_s.size() && times_s[next_] <= time_s; ++next_) ++looked_at_;
  return wheels_->before(next_, time_s);
}

}  // namespace wainscot
