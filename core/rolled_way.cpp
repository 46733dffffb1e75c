#include "core/rolled_way.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "core/median.hpp"

namespace wainscot {
namespace {

// Spectral density of a wheel's acceleration, m^2/s^3: a hobby robot starts and stops with some 0.5 m/s^2 for some half
// a second, and 2 * 0.5^2 * 0.2 s is that of accelerations which come and go so. The smoothing reaches over
// (tick variance * row spacing / this)^(1/4), so ten times as much changes it by a factor of 1.8.
constexpr double kAcceleration = 0.1;

// What is left open by counts that are not coarse. place_scans() and odometry_factors() allow for 0.2 and 1 mm as it
// is.
constexpr double kFineM = 0.0003;

struct State {
  Eigen::Vector2d mean;  ///< way, speed
  Eigen::Matrix2d covariance;
};

Eigen::Matrix2d motion_over(double dt) {
  Eigen::Matrix2d motion;
  motion << 1.0, dt, 0.0, 1.0;
  return motion;
}

State moved_on(const State& state, double dt) {
  const Eigen::Matrix2d motion = motion_over(dt);
  Eigen::Matrix2d shaken;
  shaken << dt * dt * dt / 3.0, dt * dt / 2.0, dt * dt / 2.0, dt;
  return {motion * state.mean, motion * state.covariance * motion.transpose() + kAcceleration * shaken};
}

State seen(const State& state, double way_m, double variance) {
  const Eigen::Vector2d gain = state.covariance.col(0) / (state.covariance(0, 0) + variance);
  return {state.mean + gain * (way_m - state.mean[0]), state.covariance - gain * state.covariance.row(0)};
}

/// For how long the count of each row stayed as it is, s: from the row before to the row after.
std::vector<double> stays_s(std::span<const WheelCounts> rows, std::int64_t WheelCounts::*ticks) {
  std::vector<double> result(rows.size());
  for (std::size_t first = 0, end = 0; first < rows.size(); first = end) {
    while (end < rows.size() && rows[end].*ticks == rows[first].*ticks) ++end;
    const double from_s = rows[first > 0 ? first - 1 : 0].time_s;
    const double to_s = rows[std::min(end, rows.size() - 1)].time_s;
    std::fill(result.begin() + static_cast<std::ptrdiff_t>(first), result.begin() + static_cast<std::ptrdiff_t>(end),
              to_s - from_s);
  }
  return result;
}

}  // namespace

std::vector<RolledWay> rolled_ways(std::span<const WheelCounts> rows, std::int64_t WheelCounts::*ticks,
                                   double m_per_tick) {
  if (rows.empty()) return {};
  const auto middle_m = [&](std::size_t i) { return (static_cast<double>(rows[i].*ticks) + 0.5) * m_per_tick; };
  const double of_tick = m_per_tick * m_per_tick / 12.0;
  const std::vector<double> stays = stays_s(rows, ticks);
  constexpr double kAnySpeed = 1.0;        // m/s, of a robot of which nothing is known yet
  std::vector<State> before(rows.size());  // by the rows so far, without the row itself,
  std::vector<State> states(rows.size());  // with it, and at last by all rows
  for (std::size_t i = 0; i < rows.size(); ++i) {
    before[i] = i == 0 ? State{{middle_m(0), 0.0}, Eigen::Vector2d(of_tick, kAnySpeed * kAnySpeed).asDiagonal()}
                       : moved_on(states[i - 1], rows[i].time_s - rows[i - 1].time_s);
    states[i] = i == 0 ? before[0] : seen(before[i], middle_m(i), of_tick * std::max(1.0, stays[i] / kSameCountErrorS));
  }
  for (std::size_t i = rows.size() - 1; i-- > 0;) {
    const Eigen::Matrix2d motion = motion_over(rows[i + 1].time_s - rows[i].time_s);
    const Eigen::Matrix2d gain = states[i].covariance * motion.transpose() * before[i + 1].covariance.inverse();
    states[i].mean += gain * (states[i + 1].mean - before[i + 1].mean);
    states[i].covariance += gain * (states[i + 1].covariance - before[i + 1].covariance) * gain.transpose();
  }
  std::vector<RolledWay> ways;
  ways.reserve(rows.size());
  const double half_m = 0.5 * std::abs(m_per_tick);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const double at_rest = stays[i] > kSameCountErrorS ? of_tick * (1.0 - kSameCountErrorS / stays[i]) : 0.0;
    ways.push_back({rows[i].time_s, std::clamp(states[i].mean[0], middle_m(i) - half_m, middle_m(i) + half_m),
                    states[i].mean[1], std::min(of_tick, states[i].covariance(0, 0) + at_rest)});
  }
  return ways;
}

RolledWay rolled_between(const RolledWay& from, const RolledWay& to, double time_s) {
  const double dt = to.time_s - from.time_s;
  if (dt <= 0.0) return to;
  const double u = (time_s - from.time_s) / dt;
  const double v = 1.0 - u;
  RolledWay at;
  at.time_s = time_s;
  // Hermite's cubic.
  at.way_m = v * v * (1.0 + 2.0 * u) * from.way_m + u * u * (1.0 + 2.0 * v) * to.way_m +
             u * v * dt * (v * from.speed_m_s - u * to.speed_m_s);
  at.speed_m_s = 6.0 * u * v * (to.way_m - from.way_m) / dt + v * (1.0 - 3.0 * u) * from.speed_m_s +
                 u * (1.0 - 3.0 * v) * to.speed_m_s;
  // Of integrated white acceleration between two known ways and speeds.
  at.variance_m2 = std::lerp(from.variance_m2, to.variance_m2, u) + kAcceleration * std::pow(u * v * dt, 3) / 3.0;
  return at;
}

bool counts_are_coarse(std::span<const WheelCounts> rows, const DriveConstants& constants) {
  if (rows.size() < 3) return false;
  // Chosen by hand: a hobby robot is up to speed, or stands, within about so long.
  constexpr double kSparseS = 0.5;
  std::vector<double> spacings;
  spacings.reserve(rows.size() - 1);
  for (std::size_t i = 1; i < rows.size(); ++i) spacings.push_back(rows[i].time_s - rows[i - 1].time_s);
  const double spacing_s = median(std::move(spacings));
  if (spacing_s >= kSparseS) return false;
  const double tick_m = std::max(std::abs(constants.left_m_per_tick), std::abs(constants.right_m_per_tick));
  // As rolled_between() has it in the middle between two rows.
  const double between_m = std::sqrt(kAcceleration * std::pow(spacing_s, 3) / 192.0);
  return tick_m / std::sqrt(12.0) > kFineM || between_m > kFineM;
}

}  // namespace wainscot
