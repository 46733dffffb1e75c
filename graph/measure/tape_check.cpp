#include "graph/measure/tape_check.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "core/small_samples.hpp"

namespace wainscot {
namespace {

double own_variance(const TapeReading& r) { return r.map.own_sd_m * r.map.own_sd_m + r.tape_sd_m * r.tape_sd_m; }

/// The difference by what a range offset of half a metre would do (across a room: 1 m), and by the length.
Eigen::Vector2d by_bias_and_scale(const TapeReading& r) { return {0.5 * r.map.by_range_offset, r.tape_m}; }

double agreement_of(std::span<const TapeReading> readings, double scale_sd) {
  const auto count = static_cast<Eigen::Index>(readings.size());
  Eigen::VectorXd differences(count);
  Eigen::VectorXd lengths(count);
  Eigen::VectorXd own(count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const TapeReading& r = readings[static_cast<std::size_t>(i)];
    differences[i] = r.difference_m();
    lengths[i] = r.map.distance_m;
    own[i] = own_variance(r);
  }
  Eigen::MatrixXd covariance = scale_sd * scale_sd * lengths * lengths.transpose();
  covariance.diagonal() += own;
  const double squared = differences.dot(covariance.ldlt().solve(differences));
  return 1.0 - chi_squared_probability(squared, static_cast<int>(count));
}

struct LineFit {
  Eigen::Vector2d value;
  Eigen::Matrix2d covariance;
  double degrees;
};

std::optional<LineFit> fit_line(std::span<const TapeReading> readings) {
  constexpr std::size_t kFewest = 3;         // two unknowns, and one more for what is left
  constexpr double kMostCorrelated = 0.998;  // lengths that differ by less than some 6 %
  if (readings.size() < kFewest) return std::nullopt;
  Eigen::Matrix2d matrix = Eigen::Matrix2d::Zero();
  Eigen::Vector2d right = Eigen::Vector2d::Zero();
  for (const TapeReading& r : readings) {
    const Eigen::Vector2d row = by_bias_and_scale(r);
    matrix += row * row.transpose() / own_variance(r);
    right += row * r.difference_m() / own_variance(r);
  }
  if (!(std::abs(matrix(0, 1)) < kMostCorrelated * std::sqrt(matrix(0, 0) * matrix(1, 1)))) return std::nullopt;
  LineFit fit;
  fit.covariance = matrix.inverse();
  fit.value = fit.covariance * right;
  fit.degrees = static_cast<double>(readings.size()) - 2.0;
  double squares = 0.0;
  for (const TapeReading& r : readings) {
    const double rest = r.difference_m() - by_bias_and_scale(r).dot(fit.value);
    squares += rest * rest / own_variance(r);
  }
  fit.covariance *= std::max(1.0, squares / fit.degrees);
  return fit;
}

TapeFigure figure_of(const LineFit& fit, int which) {
  const double sd = std::sqrt(fit.covariance(which, which));
  return {fit.value[which], sd, student_t_two_sided(0.95, fit.degrees) * sd};
}

}  // namespace

TapeCheck check_tapes(std::span<const TapeReading> readings, double scale_sd) {
  TapeCheck check;
  check.agreement = agreement_of(readings, scale_sd);
  const std::optional<LineFit> fit = fit_line(readings);
  if (fit) {
    check.bias_m = figure_of(*fit, 0);
    check.scale = figure_of(*fit, 1);
  }
  for (const TapeReading& r : readings) {
    const double fitted = fit ? by_bias_and_scale(r).dot(fit->value) : 0.0;
    const double variance = own_variance(r) + (fit ? 0.0 : std::pow(scale_sd * r.map.distance_m, 2));
    check.standardised.push_back((r.difference_m() - fitted) / std::sqrt(variance));
  }
  return check;
}

MapCorrection correct_map(std::span<const TapeReading> readings, double scale_sd, double range_offset_sd_m) {
  constexpr double kLeastSd = 1e-6;  // a map that claims to know its scale better may be wrong in it all the same
  const Eigen::Vector2d prior(std::max(range_offset_sd_m, kLeastSd), std::max(scale_sd, kLeastSd));
  Eigen::Matrix2d matrix = prior.cwiseAbs2().cwiseInverse().asDiagonal();
  Eigen::Vector2d right = Eigen::Vector2d::Zero();
  for (const TapeReading& r : readings) {
    const Eigen::Vector2d row(r.map.by_range_offset, r.tape_m);
    matrix += row * row.transpose() / own_variance(r);
    right += row * r.difference_m() / own_variance(r);
  }
  const Eigen::Matrix2d covariance = matrix.inverse();
  const Eigen::Vector2d found = covariance * right;
  return {found[1], std::sqrt(covariance(1, 1)), found[0], std::sqrt(covariance(0, 0))};
}

}  // namespace wainscot
