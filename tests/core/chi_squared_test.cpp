#include "core/chi_squared.hpp"

#include <cmath>
#include <limits>
#include <stdexcept>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(ChiSquared, AgreesWithClosedForms) {
  // One degree: erf(sqrt(x / 2)). Two: 1 - exp(-x / 2). Four: 1 - exp(-x / 2) (1 + x / 2).
  for (const double x : {1e-8, 0.01, 0.5, 1.0, 2.0, 2.99, 3.01, 6.0, 20.0, 60.0}) {
    EXPECT_NEAR(chi_squared_probability(x, 1) / std::erf(std::sqrt(x / 2)), 1.0, 1e-12) << x;
    EXPECT_NEAR(chi_squared_probability(x, 2) / -std::expm1(-x / 2), 1.0, 1e-12) << x;
  }
  for (const double x : {0.5, 3.0, 6.0, 20.0}) {
    EXPECT_NEAR(chi_squared_probability(x, 4), 1.0 - std::exp(-x / 2) * (1.0 + x / 2), 1e-14) << x;
  }
}

TEST(ChiSquared, QuantileInvertsTheProbability) {
  for (const int degrees : {1, 2, 3, 4, 6, 10, 50, 300}) {
    for (const double p : {1e-6, 0.01, 0.3, 0.5, 0.9, 0.95, 0.99, 0.999999}) {
      EXPECT_NEAR(chi_squared_probability(chi_squared_quantile(p, degrees), degrees), p, 1e-13) << degrees << ' ' << p;
    }
  }
  // Two degrees in closed form, also far out in the tail.
  EXPECT_NEAR(chi_squared_quantile(0.99, 2), -2.0 * std::log(0.01), 1e-12);
  EXPECT_NEAR(chi_squared_quantile(1.0 - 1e-9, 2), -2.0 * std::log(1e-9), 1e-6);
}

TEST(ChiSquared, ItsEnds) {
  EXPECT_EQ(chi_squared_probability(0.0, 3), 0.0);
  EXPECT_EQ(chi_squared_probability(-1.0, 3), 0.0);
  EXPECT_EQ(chi_squared_probability(1e4, 3), 1.0);
  EXPECT_NEAR(chi_squared_quantile(0.0, 3), 0.0, 1e-300);
}

TEST(ChiSquared, RefusesWhatHasNoAnswer) {
  EXPECT_THROW(chi_squared_probability(1.0, 0), std::invalid_argument);
  EXPECT_THROW(chi_squared_probability(std::numeric_limits<double>::quiet_NaN(), 1), std::invalid_argument);
  EXPECT_THROW(chi_squared_quantile(1.0, 3), std::invalid_argument);
  EXPECT_THROW(chi_squared_quantile(-0.1, 3), std::invalid_argument);
  EXPECT_THROW(chi_squared_quantile(0.5, -2), std::invalid_argument);
}

}  // namespace
}  // namespace wainscot
