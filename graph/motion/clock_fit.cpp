#include "graph/motion/clock_fit.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include <Eigen/Dense>

#include "core/median.hpp"

namespace wainscot {
namespace {

/// Moments of turns against changes of both counts.
struct Moments {
  Eigen::Matrix2d counts = Eigen::Matrix2d::Zero();
  Eigen::Vector2d cross = Eigen::Vector2d::Zero();
  double turns = 0.0;

  void add(const Eigen::Vector2d& count, double turn) {
    counts += count * count.transpose();
    cross += turn * count;
    turns += turn * turn;
  }
  void add(const Moments& other) {
    counts += other.counts;
    cross += other.cross;
    turns += other.turns;
  }
  Eigen::Vector2d factors() const {
    const Eigen::Matrix2d ridge = 1e-9 * (1e-12 + counts.trace()) * Eigen::Matrix2d::Identity();
    return (counts + ridge).ldlt().solve(cross);
  }
  double explained() const { return turns > 0.0 ? factors().dot(cross) / turns : 0.0; }
};

Eigen::Vector2d change(const WheelSeries& wheels, double from_s, double to_s) {
  const CountPair c = wheels.change(from_s, to_s);
  return {c.left, c.right};
}

/// The best offset and drift on a lattice: moments of short windows at each offset, summed along each drift. A window
/// far from the middle is asked for more offsets, since each drift takes it elsewhere: those of an hour for 1,320 on
/// average, those of a minute for 610.
class Lattice {
 public:
  Lattice(const std::vector<LidarStride>& steps, const WheelSeries& wheels, const ClockFitOptions& options)
      : most_drift_(options.most_drift), drifts_(options.most_drift > 0.0 ? kDrifts : 0) {
    const double span_s = steps.back().end_s - steps.front().begin_s;
    // An offset of more than a part of the drive leaves too little in common.
    const double reach_s = std::min(options.most_offset_s, 0.3 * span_s) + 0.5 * options.most_drift * span_s;
    half_ = static_cast<int>(reach_s / kStepS);
    most_offset_ = static_cast<int>(std::min(options.most_offset_s, 0.3 * span_s) / kStepS);
    middle_s_ = 0.5 * (steps.front().begin_s + steps.back().end_s);
    sums_.assign(static_cast<std::size_t>((2 * drifts_ + 1) * (2 * most_offset_ + 1)), Moments{});
    const double begin_s = steps.front().begin_s;
    for (std::size_t i = 0; i < steps.size();) {
      const auto window = static_cast<std::size_t>((steps[i].begin_s - begin_s) / kWindowS);
      const double centre_s = begin_s + (static_cast<double>(window) + 0.5) * kWindowS - middle_s_;
      const int most = std::min(half_, most_offset_ + std::abs(shift(drifts_, centre_s)));
      std::vector<Moments> row(static_cast<std::size_t>(2 * most + 1));
      for (; i < steps.size() && static_cast<std::size_t>((steps[i].begin_s - begin_s) / kWindowS) == window; ++i) {
        if (steps[i].sure) add(steps[i], wheels, most, row);
      }
      sum_along_drifts(centre_s, most, row);
    }
  }

  ClockFit best() const {
    ClockFit fit;
    fit.middle_s = middle_s_;
    fit.looked_at = looked_at_;
    fit.explained = -1.0;
    std::size_t n = 0;
    for (int d = -drifts_; d <= drifts_; ++d) {
      for (int k = -most_offset_; k <= most_offset_; ++k) {
        // Of equals the one nearest to what was stated.
        const double score = sums_[n++].explained() - 1e-4 * (std::abs(d) / 40.0 + std::abs(k) * 1e-3);
        if (score <= fit.explained) continue;
        fit.explained = score;
        fit.offset_s = k * kStepS;
        fit.drift = drift(d);
      }
    }
    return fit;
  }

 private:
  // A robot begins and ends its turns within half a second, over ten steps; refine() goes on from there.
  static constexpr double kStepS = 0.05;
  // Over it the largest drift, 2 %, is three steps: from its middle half of that.
  static constexpr double kWindowS = 8.0;
  static constexpr int kDrifts = 40;  // each way, 0.05 %: a step in 100 s

  double drift(int d) const { return most_drift_ * d / kDrifts; }
  /// By how many steps of the lattice a drift moves a window.
  int shift(int d, double centre_s) const { return static_cast<int>(std::lround(drift(d) * centre_s / kStepS)); }

  void add(const LidarStride& step, const WheelSeries& wheels, int most, std::vector<Moments>& row) {
    WheelSeries::Onward at_begin(wheels, step.begin_s - most * kStepS);
    WheelSeries::Onward at_end(wheels, step.end_s - most * kStepS);
    for (int k = -most; k <= most; ++k) {
      const CountPair from = at_begin.at(step.begin_s + k * kStepS);
      const CountPair to = at_end.at(step.end_s + k * kStepS);
      row[static_cast<std::size_t>(k + most)].add({to.left - from.left, to.right - from.right},
                                                  step.motion.heading_rad);
    }
    looked_at_ += at_begin.looked_at() + at_end.looked_at();
  }

  void sum_along_drifts(double centre_s, int most, const std::vector<Moments>& row) {
    std::size_t n = 0;
    for (int d = -drifts_; d <= drifts_; ++d) {
      const int moved = shift(d, centre_s);
      for (int k = -most_offset_; k <= most_offset_; ++k) {
        sums_[n++].add(row[static_cast<std::size_t>(std::clamp(k + moved, -most, most) + most)]);
      }
    }
  }

  double most_drift_;
  int drifts_;  // to each side
  int half_ = 0;
  int most_offset_ = 0;
  double middle_s_ = 0.0;
  std::vector<Moments> sums_;  // by drift, then by offset
  std::size_t looked_at_ = 0;
};

/// Gauss-Newton with Cauchy weights for both factors, offset and, where `drifts`, drift.
void refine(const std::vector<LidarStride>& steps, const WheelSeries& wheels, bool drifts, ClockFit& fit) {
  constexpr int kRounds = 10;            // chosen by hand on simulated homes whose numbers were not kept
  constexpr double kProbeS = 0.01;       // likewise
  constexpr double kMostOfAStep = 0.01;  // rad^2, 6 degrees
  Moments all;
  for (const LidarStride& step : steps) {
    if (step.sure) {
      all.add(change(wheels, fit.wheel_time_s(step.begin_s), fit.wheel_time_s(step.end_s)), step.motion.heading_rad);
    }
  }
  Eigen::Vector2d factors = all.factors();
  double usual_rad = usual_turn_error_rad({});
  for (int round = 0; round < kRounds; ++round) {
    Eigen::Matrix4d normal = Eigen::Matrix4d::Zero();
    Eigen::Matrix4d scatter = Eigen::Matrix4d::Zero();
    Eigen::Vector4d right = Eigen::Vector4d::Zero();
    double rest = 0.0;
    double turns = 0.0;
    std::vector<double> errors;
    fit.steps = 0;
    for (const LidarStride& step : steps) {
      const double from = fit.wheel_time_s(step.begin_s);
      const double to = fit.wheel_time_s(step.end_s);
      if (!step.sure || wheels.is_unknown(from - kProbeS, to + kProbeS)) continue;
      const Eigen::Vector2d count = change(wheels, from, to);
      const double error = step.motion.heading_rad - factors.dot(count);
      const double slope =
          factors.dot(change(wheels, from + kProbeS, to + kProbeS) - change(wheels, from - kProbeS, to - kProbeS)) /
          (2.0 * kProbeS);
      Eigen::Vector4d jacobian(count.x(), count.y(), slope, drifts ? slope * (step.begin_s - fit.middle_s) : 0.0);
      const double weight = 1.0 / (1.0 + std::pow(error / usual_rad, 2));
      errors.push_back(error);
      normal += weight * jacobian * jacobian.transpose();
      scatter += weight * weight * error * error * jacobian * jacobian.transpose();
      right += weight * error * jacobian;
      // No step counts more than another: one slip does not make the rest unrelated.
      rest += std::min(error * error, kMostOfAStep);
      turns += std::min(step.motion.heading_rad * step.motion.heading_rad, kMostOfAStep);
      ++fit.steps;
    }
    if (fit.steps < 8) return;
    usual_rad = usual_turn_error_rad(std::move(errors));
    // In units in which the unknowns are of one size.
    const Eigen::Vector4d unit = normal.diagonal().cwiseMax(1e-12).cwiseSqrt().cwiseInverse();
    const Eigen::Matrix4d scaled =
        unit.asDiagonal() * normal * unit.asDiagonal() + 1e-9 * Eigen::Matrix4d(Eigen::Matrix4d::Identity());
    const Eigen::Matrix4d inverse = unit.asDiagonal() * scaled.inverse() * unit.asDiagonal();
    const Eigen::Vector4d change_of = inverse * right;
    const Eigen::Matrix4d covariance = inverse * scatter * inverse;
    factors += change_of.head<2>();
    fit.offset_s += std::clamp(change_of(2), -0.1, 0.1);
    if (drifts) fit.drift += std::clamp(change_of(3), -0.002, 0.002);
    fit.offset_sd_s = std::sqrt(covariance(2, 2));
    fit.drift_sd = std::sqrt(covariance(3, 3));
    fit.explained = turns > 0.0 ? std::clamp(1.0 - rest / turns, 0.0, 1.0) : 0.0;
  }
}

}  // namespace

double usual_size_rad(std::vector<double> errors_rad) {
  constexpr double kNormal = 1.4826;  // standard deviation over the median of the absolute values
  for (double& error : errors_rad) error = std::abs(error);
  return kNormal * median(std::move(errors_rad));
}

double usual_turn_error_rad(std::vector<double> errors_rad) {
  // Of a step between two scans that follow one another fast: chosen by hand on simulated homes whose numbers were not
  // kept.
  constexpr double kNoiseRad = 0.006;
  return std::max(3.0 * kNoiseRad, kCauchyReach * usual_size_rad(std::move(errors_rad)));
}

ClockFit fit_clock(const std::vector<LidarStride>& steps, const WheelSeries& wheels, const ClockFitOptions& options) {
  const auto sure = std::count_if(steps.begin(), steps.end(), [](const LidarStride& s) { return s.sure; });
  if (sure < 8 || wheels.empty()) return {};
  ClockFit fit = Lattice(steps, wheels, options).best();
  refine(steps, wheels, options.most_drift > 0.0, fit);
  return fit;
}

}  // namespace wainscot
