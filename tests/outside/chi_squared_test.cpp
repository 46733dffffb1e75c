// Chi squared gates against published tables.

#include "core/chi_squared.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4 "Critical values of the chi-square distribution", upper
// tail; printed to three decimals.
TEST(OutsideChiSquared, GatesAreThoseOfTheNistTable) {
  EXPECT_NEAR(chi_squared_quantile(0.95, 1), 3.841, 5e-4);
  EXPECT_NEAR(chi_squared_quantile(0.95, 2), 5.991, 5e-4);
  EXPECT_NEAR(chi_squared_quantile(0.95, 3), 7.815, 5e-4);
  EXPECT_NEAR(chi_squared_quantile(0.99, 3), 11.345, 5e-4);
  EXPECT_NEAR(chi_squared_quantile(0.999, 3), kPoseGate, 5e-4);
}

}  // namespace
}  // namespace wainscot
