#include "io/log/late_rows.hpp"

#include <algorithm>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "core/median.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

// Stamps jitter, so that speeds are taken over this long at least: several rows of any logger.
constexpr double kSpeedWindow_s = 0.5;
// A pause that matters: longer than a busy computer keeps a row waiting, and than three rows at the usual rate.
constexpr double kShortestPause_s = 0.3;
constexpr double kPauseIntervals = 3.0;
// Rows that were waiting come closer together than this share of the usual interval; no row that is on time does.
constexpr double kBurstShare = 0.25;
// A mean over the pause is at most what the drive ordinarily does, with room for stamps that are off themselves.
constexpr double kOrdinaryQuantile = 0.95;
constexpr double kRoom = 1.5;
// A robot that moved: at this share of its ordinary speed or turning.
constexpr double kMovingShare = 0.1;

// How long steps take at the drive's ordinary speeds, the measure of all that is decided here.
class OrdinaryPace {
 public:
  explicit OrdinaryPace(const LogView& log) {
    sums_.push_back({});
    std::vector<double> intervals;
    for (std::size_t i = 1; i < log.size; ++i) {
      const LogStep step = log.step(i - 1, i);
      intervals.push_back(step.time_s);
      sums_.push_back(
          {sums_.back().time_s + step.time_s, sums_.back().way_m + step.way_m, sums_.back().turn_rad + step.turn_rad});
    }
    usual_interval_s_ = quantile(std::move(intervals), 0.5);
    std::vector<double> speeds;
    std::vector<double> turn_rates;
    for (std::size_t from = 0, to = 1; to < log.size; ++to) {
      const LogStep window = over(from, to);
      if (window.time_s < kSpeedWindow_s) continue;
      from = to;
      if (window.way_m > 0.0) speeds.push_back(window.way_m / window.time_s);
      if (window.turn_rad > 0.0) turn_rates.push_back(window.turn_rad / window.time_s);
    }
    speed_m_s_ = quantile(std::move(speeds), kOrdinaryQuantile);
    turn_rate_rad_s_ = quantile(std::move(turn_rates), kOrdinaryQuantile);
  }

  double usual_interval_s() const { return usual_interval_s_; }

  // Time that the steps between two rows take at ordinary speeds.
  double needed_s(std::size_t from, std::size_t to) const {
    const LogStep all = over(from, to);
    const double way_s = speed_m_s_ > 0.0 ? all.way_m / speed_m_s_ : 0.0;
    const double turn_s = turn_rate_rad_s_ > 0.0 ? all.turn_rad / turn_rate_rad_s_ : 0.0;
    return std::max(way_s, turn_s);
  }

  double passed_s(std::size_t from, std::size_t to) const { return sums_[to].time_s - sums_[from].time_s; }

  // Whether the robot moved in the half second before a row, or in that after it.
  bool moves_before(std::size_t row) const {
    std::size_t from = row;
    while (from > 0 && passed_s(from, row) < kSpeedWindow_s) --from;
    return needed_s(from, row) > kMovingShare * passed_s(from, row);
  }
  bool moves_after(std::size_t row) const {
    std::size_t to = row;
    while (to + 1 < sums_.size() && passed_s(row, to) < kSpeedWindow_s) ++to;
    return needed_s(row, to) > kMovingShare * passed_s(row, to);
  }

 private:
  LogStep over(std::size_t from, std::size_t to) const {
    return {sums_[to].time_s - sums_[from].time_s, sums_[to].way_m - sums_[from].way_m,
            sums_[to].turn_rad - sums_[from].turn_rad};
  }

  std::vector<LogStep> sums_;  // from the first row to each
  double usual_interval_s_ = 0.0;
  double speed_m_s_ = 0.0;
  double turn_rate_rad_s_ = 0.0;
};

// The rows after the pause that ends at `first`, if they were held back.
std::optional<LateBurst> burst_at(const OrdinaryPace& pace, std::size_t first, std::size_t size) {
  std::size_t last = first;
  while (last + 1 < size && pace.passed_s(last, last + 1) < kBurstShare * pace.usual_interval_s()) ++last;
  const std::size_t before = first - 1;
  const double burst_s = pace.passed_s(first, last);
  // The row before the pause was taken up to one interval before the burst's first.
  const bool impossible = pace.needed_s(first, last) > kRoom * (burst_s + pace.usual_interval_s());
  const bool ordinary = pace.needed_s(before, last) <= kRoom * pace.passed_s(before, last);
  if (!impossible || !ordinary) return std::nullopt;
  if (!pace.moves_before(before) && !pace.moves_after(last)) return std::nullopt;
  return LateBurst{first, last, {}};
}

std::vector<double> times_of(const OrdinaryPace& pace, const LogView& log, const LateBurst& burst) {
  const std::size_t before = burst.first - 1;
  const double begin_s = log.time_s(before);
  const double first_s = log.time_s(burst.first);
  const double pause_s = first_s - begin_s;
  const auto rows = static_cast<double>(burst.last - before);
  // Half as many as there should be may have been lost; fewer say nothing of when they were taken.
  const bool evenly = 2.0 * rows * pace.usual_interval_s() >= pause_s;
  const double needed_s = pace.needed_s(before, burst.last);
  std::vector<double> times_s;
  for (std::size_t i = burst.first; i <= burst.last; ++i) {
    const double share = evenly ? static_cast<double>(i - before) / rows : pace.needed_s(before, i) / needed_s;
    // The stamps' own order stays: a row at rest takes no time of the pause, but comes after the one before it.
    times_s.push_back(begin_s + share * pause_s + (log.time_s(i) - first_s));
  }
  times_s.back() = log.time_s(burst.last);
  return times_s;
}

}  // namespace

std::vector<LateBurst> find_late_bursts(const LogView& log) {
  std::vector<LateBurst> bursts;
  if (log.size < 3) return bursts;
  const OrdinaryPace pace(log);
  const double pause_s = std::max(kShortestPause_s, kPauseIntervals * pace.usual_interval_s());
  for (std::size_t i = 1; i < log.size; ++i) {
    if (log.step(i - 1, i).time_s < pause_s) continue;
    std::optional<LateBurst> burst = burst_at(pace, i, log.size);
    if (!burst) continue;
    burst->times_s = times_of(pace, log, *burst);
    i = burst->last;
    bursts.push_back(std::move(*burst));
  }
  return bursts;
}

void warn_of_late_bursts(const std::vector<LateBurst>& bursts, const LogView& log, const std::string& file,
                         std::vector<std::string>& warnings) {
  if (bursts.empty()) return;
  double longest_s = 0.0;
  for (const LateBurst& burst : bursts) {
    longest_s = std::max(longest_s, log.time_s(burst.first) - log.time_s(burst.first - 1));
  }
  warnings.push_back(fmt::format(
      "{}: {} of up to {:.1f} s, the first at {:.3f} s, in which rows waited and were then stamped all at once; they "
      "are taken as spread over the pause; stamp each row where it is measured, or flush the log after each row",
      file, count_text(bursts.size(), "pause"), longest_s, log.time_s(bursts.front().first - 1)));
}

}  // namespace wainscot
