#include "core/small_samples.hpp"

#include <cmath>
#include <limits>
#include <stdexcept>

namespace wainscot {
namespace {

/// The continued fraction 26.5.8, evaluated by W. J. Lentz's method, Applied Optics 15(3), 1976.
double beta_fraction(double x, double a, double b) {
  constexpr double kPrecision = 1e-15;  // five roundings of a double: further terms change nothing
  constexpr double kTiny = std::numeric_limits<double>::min() / kPrecision;
  const auto not_zero = [](double v) { return std::abs(v) < kTiny ? kTiny : v; };
  double c = 1.0;
  double d = 1.0 / not_zero(1.0 - (a + b) * x / (a + 1.0));
  double fraction = d;
  for (double m = 1.0; m < 10000.0; ++m) {
    const double even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
    d = 1.0 / not_zero(1.0 + even * d);
    c = not_zero(1.0 + even / c);
    fraction *= c * d;
    const double odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
    d = 1.0 / not_zero(1.0 + odd * d);
    c = not_zero(1.0 + odd / c);
    fraction *= c * d;
    if (std::abs(c * d - 1.0) < kPrecision) break;
  }
  return fraction;
}

/// Regularised incomplete beta function I_x(a, b); `y` = 1 - x, given too so that a tail keeps its digits.
double incomplete_beta(double x, double y, double a, double b) {
  if (x <= 0.0) return 0.0;
  if (y <= 0.0) return 1.0;
  const double factor =
      std::exp(std::lgamma(a + b) - std::lgamma(a) - std::lgamma(b) + a * std::log(x) + b * std::log(y));
  if (x < (a + 1.0) / (a + b + 2.0)) return factor * beta_fraction(x, a, b) / a;
  return 1.0 - factor * beta_fraction(y, b, a) / b;
}

void check(double value, double degrees) {
  if (!(degrees > 0.0)) throw std::invalid_argument("a small sample needs more than zero degrees of freedom");
  if (std::isnan(value)) throw std::invalid_argument("the distribution of a value that is not a number");
}

/// Probability that |t| is more than `value` >= 0.
double two_tails(double value, double degrees) {
  if (std::isinf(degrees)) return std::erfc(value / std::sqrt(2.0));
  const double square = value * value;
  return incomplete_beta(degrees / (degrees + square), square / (degrees + square), 0.5 * degrees, 0.5);
}

}  // namespace

double student_t_probability(double value, double degrees) {
  check(value, degrees);
  const double tail = 0.5 * two_tails(std::abs(value), degrees);
  return value < 0.0 ? tail : 1.0 - tail;
}

double student_t_two_sided(double probability, double degrees) {
  check(probability, degrees);
  if (!(probability >= 0.0 && probability < 1.0)) {
    throw std::invalid_argument("an interval needs a probability from 0 to below 1");
  }
  double low = 0.0;
  double high = 1.0;
  while (two_tails(high, degrees) > 1.0 - probability && high < 1e150) high *= 2.0;
  // Halving needs no good start and no derivative, and intervals are few.
  while (true) {
    const double middle = 0.5 * (low + high);
    if (middle <= low || middle >= high) return middle;
    (two_tails(middle, degrees) > 1.0 - probability ? low : high) = middle;
  }
}

double fisher_f_tail(double value, double above, double below) {
  check(value, above);
  check(value, below);
  if (value <= 0.0) return 1.0;
  const double sum = below + above * value;
  return incomplete_beta(below / sum, above * value / sum, 0.5 * below, 0.5 * above);
}

}  // namespace wainscot
