#include "graph/bounded_squares.hpp"

#include <utility>

#include <gtest/gtest.h>

#include "core/chi_squared.hpp"

namespace wainscot {
namespace {

TEST(BoundedSquares, BoundsAndMeansAreThoseOfChiSquared) {
  const double inside = chi_squared_probability(2.5 * 2.5, 1);
  for (const auto& [squares, freedom] : {std::pair(kBoundedOne, 1), {kBoundedTwo, 2}, {kBoundedThree, 3}}) {
    EXPECT_NEAR(squares.bound, chi_squared_quantile(inside, freedom), 1e-3) << freedom;
    // The mean of a bounded variable: the integral of the probability to exceed, by the midpoint rule.
    constexpr int kSteps = 20000;
    double mean = 0.0;
    for (int i = 0; i < kSteps; ++i) {
      const double square = squares.bound * (i + 0.5) / kSteps;
      mean += squares.bound / kSteps * (1.0 - chi_squared_probability(square, freedom));
    }
    EXPECT_NEAR(squares.mean, mean, 1e-4) << freedom;
  }
}

TEST(BoundedSquares, OnlyLargeSquaresAreBounded) {
  EXPECT_EQ(kBoundedTwo(3.0), 3.0);
  EXPECT_EQ(kBoundedTwo(300.0), kBoundedTwo.bound);
}

}  // namespace
}  // namespace wainscot
