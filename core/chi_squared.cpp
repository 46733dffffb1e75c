#include "core/chi_squared.hpp"

#include <cmath>
#include <limits>
#include <stdexcept>

namespace wainscot {
namespace {

constexpr double kPrecision = 1e-16;  // below what a double resolves: terms that change nothing end the sums

/// x^a exp(-x) / Gamma(a), what both expansions share.
double common_factor(double a, double x) { return std::exp(a * std::log(x) - x - std::lgamma(a)); }

/// Regularised lower incomplete gamma function P(a, x) for x < a + 1: 6.5.29.
double lower_by_series(double a, double x) {
  double term = 1.0 / a;
  double sum = term;
  for (double n = 1.0; term > kPrecision * sum; ++n) {
    term *= x / (a + n);
    sum += term;
  }
  return sum * common_factor(a, x);
}

/// Regularised upper incomplete gamma function 1 - P(a, x) for x >= a + 1: 6.5.31, evaluated by W. J. Lentz's method,
/// Applied Optics 15(3), 1976.
double upper_by_fraction(double a, double x) {
  double b = x + 1.0 - a;
  double c = std::numeric_limits<double>::max();
  double d = 1.0 / b;
  double fraction = d;
  for (double n = 1.0; n < 10000.0; ++n) {
    const double numerator = -n * (n - a);
    b += 2.0;
    d = 1.0 / (numerator * d + b);
    c = b + numerator / c;
    fraction *= c * d;
    if (std::abs(c * d - 1.0) < 4.0 * kPrecision) {
      break;
    }
  }
  return fraction * common_factor(a, x);
}

/// 1 - probability, with all its digits where the probability is near 1.
double upper_tail(double value, int degrees) {
  const double a = 0.5 * degrees;
  const double x = 0.5 * value;
  return x < a + 1.0 ? 1.0 - lower_by_series(a, x) : upper_by_fraction(a, x);
}

void check_degrees(int degrees) {
  if (degrees < 1) {
    throw std::invalid_argument("chi squared needs at least one degree of freedom");
  }
}

}  // namespace

double chi_squared_probability(double value, int degrees) {
  check_degrees(degrees);
  if (std::isnan(value)) {
    throw std::invalid_argument("chi squared of a value that is not a number");
  }
  if (value <= 0.0) {
    return 0.0;
  }
  const double a = 0.5 * degrees;
  const double x = 0.5 * value;
  return x < a + 1.0 ? lower_by_series(a, x) : 1.0 - upper_by_fraction(a, x);
}

double chi_squared_quantile(double probability, int degrees) {
  check_degrees(degrees);
  if (!(probability >= 0.0 && probability < 1.0)) {
    throw std::invalid_argument("a chi squared gate needs a probability from 0 to below 1");
  }
  double low = 0.0;
  double high = degrees;
  while (upper_tail(high, degrees) > 1.0 - probability) {
    high *= 2.0;
  }
  // Halving needs no good start and no derivative, and gates are computed once.
  while (true) {
    const double middle = 0.5 * (low + high);
    if (middle <= low || middle >= high) {
      return middle;
    }
    // Below one half the lower probability has the digits, above it the upper one.
    const bool below = probability < 0.5 ? chi_squared_probability(middle, degrees) < probability
                                         : upper_tail(middle, degrees) > 1.0 - probability;
    (below ? low : high) = middle;
  }
}

}  // namespace wainscot
