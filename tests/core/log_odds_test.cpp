#include "core/log_odds.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(LogOdds, AreTheLogarithmOfTheOdds) {
  EXPECT_EQ(probability_of(0.0), 0.5F);
  EXPECT_NEAR(probability_of(std::log(9.0)), 0.9F, 1e-7F);
  EXPECT_NEAR(probability_of(std::log(1.0 / 3.0)), 0.25F, 1e-7F);
}

}  // namespace
}  // namespace wainscot
