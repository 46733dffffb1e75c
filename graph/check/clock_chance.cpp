#include "graph/check/clock_chance.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

namespace wainscot {
namespace {

/// Turns of the lidar beside the changes of both counts.
struct TurnRows {
  std::vector<double> turns;
  std::vector<Eigen::Vector2d> counts;
};

TurnRows rows_at(const std::vector<LidarStride>& steps, const WheelSeries& wheels, const ClockFit& clock) {
  TurnRows rows;
  for (const LidarStride& step : steps) {
    if (!step.sure) continue;
    const CountPair change = wheels.change(clock.wheel_time_s(step.begin_s), clock.wheel_time_s(step.end_s));
    rows.turns.push_back(step.motion.heading_rad);
    rows.counts.emplace_back(change.left, change.right);
  }
  return rows;
}

/// What is left of the turns when both counts have explained what they can, with Cauchy weights: as the fit does it.
std::vector<double> residuals_of(const TurnRows& rows) {
  constexpr int kRounds = 4;  // of Cauchy weights (chosen by hand): the fit itself takes 10 at most
  std::vector<double> residuals = rows.turns;
  for (int round = 0; round < kRounds; ++round) {
    Eigen::Matrix2d normal = Eigen::Matrix2d::Zero();
    Eigen::Vector2d right = Eigen::Vector2d::Zero();
    const double usual_rad = usual_turn_error_rad(residuals);
    for (std::size_t i = 0; i < rows.turns.size(); ++i) {
      const double weight = round == 0 ? 1.0 : 1.0 / (1.0 + std::pow(residuals[i] / usual_rad, 2));
      normal += weight * rows.counts[i] * rows.counts[i].transpose();
      right += weight * rows.turns[i] * rows.counts[i];
    }
    normal += 1e-9 * (1e-12 + normal.trace()) * Eigen::Matrix2d::Identity();
    const Eigen::Vector2d factors = normal.ldlt().solve(right);
    for (std::size_t i = 0; i < rows.turns.size(); ++i) residuals[i] = rows.turns[i] - factors.dot(rows.counts[i]);
  }
  return residuals;
}

/// No value counts for more than this one: a slip does not make the rest unrelated (as in graph/motion/clock_fit).
constexpr double kMostOfAStep = 0.01;  // rad^2, 6 degrees

double squares(const std::vector<double>& values) {
  double sum = 0.0;
  for (const double value : values) sum += std::min(value * value, kMostOfAStep);
  return sum;
}

double explained_at(const std::vector<LidarStride>& steps, const WheelSeries& wheels, const ClockFit& clock) {
  const TurnRows rows = rows_at(steps, wheels, clock);
  const double all = squares(rows.turns);
  return all > 0.0 ? 1.0 - squares(residuals_of(rows)) / all : 0.0;
}

/// Of a series in which each error keeps a part of the one before.
double independent(const std::vector<double>& errors) {
  double product = 0.0;
  for (std::size_t i = 1; i < errors.size(); ++i) product += errors[i] * errors[i - 1];
  const double all = squares(errors);
  const double kept = all > 0.0 ? std::clamp(product / all, 0.0, 1.0) : 0.0;
  return static_cast<double>(errors.size()) * (1.0 - kept) / (1.0 + kept);
}

constexpr double kWindowS = 2.0;  // about a corner; what is nearer than this to the peak is the peak

/// What the lidar turned in two seconds.
struct TurnWindow {
  double turn_rad = 0.0;
  double weight = 0.0;  // its share of the squares that are to be explained
};

std::vector<TurnWindow> turn_windows(const std::vector<LidarStride>& steps) {
  std::vector<TurnWindow> windows;
  double begin_s = 0.0;
  for (const LidarStride& step : steps) {
    if (!step.sure) continue;
    if (windows.empty() || step.end_s - begin_s > kWindowS) {
      windows.emplace_back();
      begin_s = step.begin_s;
    }
    windows.back().turn_rad += step.motion.heading_rad;
    windows.back().weight += squares({step.motion.heading_rad});
  }
  return windows;
}

/// Steps of which both clocks can say what the wheels did, and which.
std::vector<LidarStride> known_to_both(const std::vector<LidarStride>& steps, const WheelSeries& wheels,
                                       const ClockFit& one, const ClockFit& other) {
  std::vector<LidarStride> known;
  for (const LidarStride& step : steps) {
    const auto is_known = [&](const ClockFit& clock) {
      return !wheels.is_unknown(clock.wheel_time_s(step.begin_s), clock.wheel_time_s(step.end_s));
    };
    if (step.sure && is_known(one) && is_known(other)) known.push_back(step);
  }
  return known;
}

/// Of 1: the part of the errors' number that is left where what each says of the drift goes with what the one before
/// said. Their own correlation is not asked: an error that lasts says nothing of a drift while the turns change.
double independent_share(const std::vector<double>& errors, const std::vector<double>& by_drift, double usual_rad) {
  std::vector<double> words;
  for (std::size_t i = 0; i < errors.size(); ++i)
    words.push_back(by_drift[i] * errors[i] / (1.0 + std::pow(errors[i] / usual_rad, 2)));
  return independent(words) / static_cast<double>(words.size());
}

double log_ratio(double less, double more) {
  constexpr double kLeft = 1e-4;  // no wheels and lidar agree better: the logarithm stays finite
  return std::log((1.0 - less + kLeft) / (1.0 - more + kLeft));
}

}  // namespace

ClockChance clock_chance(const std::vector<LidarStride>& steps, const WheelSeries& wheels, const ClockFit& fit) {
  ClockChance chance;
  const TurnRows at_peak = rows_at(steps, wheels, fit);
  if (at_peak.turns.empty()) return chance;
  constexpr double kNoiseRad = 0.05;  // what some ten steps of 6 mrad add up to, and as much again
  double sum = 0.0;
  double sum_of_squares = 0.0;
  for (const TurnWindow& window : turn_windows(steps)) {
    if (std::abs(window.turn_rad) > kNoiseRad) chance.turned_rad += std::abs(window.turn_rad);
    sum += window.weight;
    sum_of_squares += window.weight * window.weight;
  }
  chance.turns = sum_of_squares > 0.0 ? sum * sum / sum_of_squares : 0.0;
  const std::vector<double> residuals = residuals_of(at_peak);
  chance.explained = 1.0 - squares(residuals) / std::max(squares(at_peak.turns), 1e-12);
  // As far as the fit looks: an offset of more than a part of the drive leaves too little in common.
  const double span_s = steps.back().end_s - steps.front().begin_s;
  const double reach_s = std::min(ClockFitOptions{}.most_offset_s, 0.3 * span_s);
  // Finer than a robot's turning changes, so that no peak falls between (chosen by hand).
  constexpr double kStepS = 0.2;
  for (double offset_s = -reach_s; offset_s <= reach_s; offset_s += kStepS) {
    if (std::abs(offset_s - fit.offset_s) < kWindowS) continue;
    ClockFit other = fit;
    other.offset_s = offset_s;
    chance.elsewhere = std::max(chance.elsewhere, explained_at(steps, wheels, other));
  }
  ClockFit stated = fit;
  stated.offset_s = 0.0;
  stated.drift = 0.0;
  chance.as_stated = explained_at(steps, wheels, stated);
  chance.chi_squared_elsewhere = std::max(0.0, chance.turns * log_ratio(chance.elsewhere, chance.explained));
  chance.chi_squared_stated = std::max(0.0, independent(residuals) * log_ratio(chance.as_stated, chance.explained));
  return chance;
}

double drift_chi_squared(const std::vector<LidarStride>& steps, const WheelSeries& wheels, const ClockFit& fit) {
  constexpr double kUnknowns = 4.0;    // two factors, offset and drift
  constexpr double kFinestRad = 1e-3;  // no two scans tell a turn better
  constexpr double kProbe = 1e-4;      // drift for a numerical slope: 60 ms in ten minutes, more than a row of wheels
  ClockFitOptions steady;
  steady.most_drift = 0.0;
  const ClockFit without = fit_clock(steps, wheels, steady);
  const std::vector<LidarStride> known = known_to_both(steps, wheels, fit, without);
  const auto count = static_cast<double>(known.size());
  if (count <= kUnknowns) return 0.0;
  const auto errors_at = [&](const ClockFit& clock) { return residuals_of(rows_at(known, wheels, clock)); };
  const std::vector<double> less = errors_at(without);
  const std::vector<double> more = errors_at(fit);
  ClockFit probe = fit;
  probe.drift += kProbe;
  std::vector<double> by_drift = errors_at(probe);
  for (std::size_t i = 0; i < by_drift.size(); ++i) by_drift[i] -= more[i];
  // The density that the fit's weights belong to, as wide as this drive's own errors.
  const double usual_rad = std::max(kCauchyReach * kFinestRad, kCauchyReach * usual_size_rad(more));
  double sum = 0.0;
  for (std::size_t i = 0; i < more.size(); ++i)
    sum += std::log1p(std::pow(less[i] / usual_rad, 2)) - std::log1p(std::pow(more[i] / usual_rad, 2));
  const double in_variances = kCauchyReach * kCauchyReach * sum * (count - kUnknowns) / count;
  return std::max(0.0, in_variances * independent_share(more, by_drift, usual_rad));
}

}  // namespace wainscot
