#include "core/chi_squared.hpp"

#include <cmath>
#include <stdexcept>

#include <boost/math/distributions/chi_squared.hpp>

namespace wainscot {
namespace {

boost::math::chi_squared distribution(int degrees) {
  if (degrees < 1) throw std::invalid_argument("chi squared needs at least one degree of freedom");
  return boost::math::chi_squared(degrees);
}

}  // namespace

double chi_squared_probability(double value, int degrees) {
  const boost::math::chi_squared chi_squared = distribution(degrees);
  if (std::isnan(value)) throw std::invalid_argument("chi squared of a value that is not a number");
  if (value <= 0.0) return 0.0;
  return std::isinf(value) ? 1.0 : boost::math::cdf(chi_squared, value);
}

double chi_squared_quantile(double probability, int degrees) {
  const boost::math::chi_squared chi_squared = distribution(degrees);
  if (!(probability >= 0.0 && probability < 1.0)) {
    throw std::invalid_argument("a chi squared gate needs a probability from 0 to below 1");
  }
  return boost::math::quantile(chi_squared, probability);
}

}  // namespace wainscot
