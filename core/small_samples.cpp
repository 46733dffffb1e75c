#include "core/small_samples.hpp"

#include <cmath>
#include <stdexcept>

#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/students_t.hpp>

namespace wainscot {
namespace {

void check(double value, double degrees) {
  if (!(degrees > 0.0)) throw std::invalid_argument("a small sample needs more than zero degrees of freedom");
  if (std::isnan(value)) throw std::invalid_argument("the distribution of a value that is not a number");
}

}  // namespace

double student_t_probability(double value, double degrees) {
  check(value, degrees);
  if (std::isinf(value)) return value < 0.0 ? 0.0 : 1.0;
  return boost::math::cdf(boost::math::students_t(degrees), value);
}

double student_t_two_sided(double probability, double degrees) {
  check(probability, degrees);
  if (!(probability >= 0.0 && probability < 1.0)) {
    throw std::invalid_argument("an interval needs a probability from 0 to below 1");
  }
  // By the tail beyond it, which keeps its digits where the probability is near 1.
  return boost::math::quantile(boost::math::complement(boost::math::students_t(degrees), 0.5 * (1.0 - probability)));
}

double fisher_f_tail(double value, double above, double below) {
  check(value, above);
  check(value, below);
  if (value <= 0.0) return 1.0;
  if (std::isinf(value)) return 0.0;
  return boost::math::cdf(boost::math::complement(boost::math::fisher_f(above, below), value));
}

}  // namespace wainscot
