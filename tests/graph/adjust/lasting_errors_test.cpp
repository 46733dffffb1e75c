#include "graph/adjust/lasting_errors.hpp"

#include <cmath>
#include <cstddef>
#include <functional>
#include <random>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

constexpr std::size_t kStretches = 120;

/// Stretches that turn by a radian each, whose headings are off by `error_rad`, known to a radian.
std::vector<OdometryFactor> turns(const std::function<double(std::size_t)>& error_rad) {
  std::vector<OdometryFactor> factors(kStretches);
  for (std::size_t i = 0; i < factors.size(); ++i) {
    factors[i].residual = {0.0, 0.0, error_rad(i)};
    factors[i].information.setIdentity();
    factors[i].by_constants.setZero();
    factors[i].by_constants(2, kTurnScale) = 1.0;
  }
  return factors;
}

double lasting(const std::function<double(std::size_t)>& error_rad) {
  return lasting_turn_variance(turns(error_rad), 1.0 / static_cast<double>(kStretches));
}

// By hand: twelve floors of ten stretches each, whose turns are off by 0.3 one way or the other. The mean of twelve is
// known to 0.3 / sqrt(12), which Student's t with 11 degrees of freedom (2.20099, NIST/SEMATECH table 1.3.6.7.2)
// widens; the stretches' own part, as if they were independent, is 0.3 / sqrt(120).
TEST(LastingErrors, OfFloorsThatDiffer) {
  const double widening = 2.20099 / 1.959964;
  const double expected = 0.09 * (widening * widening / 12.0 - 1.0 / 120.0);
  EXPECT_NEAR(lasting([](std::size_t i) { return i / 10 % 2 == 0 ? 0.3 : -0.3; }), expected, 1e-7);
}

TEST(LastingErrors, AreNoneWhereNeighboursErrOppositely) {
  EXPECT_EQ(lasting([](std::size_t i) { return i % 2 == 0 ? 0.3 : -0.3; }), 0.0);
}

// Each block of a drive whose stretches err independently by a radian has a sum of variance 10, so that twelve of them
// and the stretches' own part leave the widening alone, (2.20099 / 1.959964)^2 - 1 of 1 / 120; and, as what is below
// zero counts as none, at most as much more as half of such a variance scatters: sqrt(2 / 12) of 1.26 / 120.
TEST(LastingErrors, OfIndependentOnesAreHardlyMoreThanTheWideningForFewBlocks) {
  std::mt19937 random(1);
  std::normal_distribution<double> error(0.0, 1.0);
  constexpr int kDrives = 2000;
  double sum = 0.0;
  for (int drive = 0; drive < kDrives; ++drive) sum += lasting([&](std::size_t) { return error(random); });
  const double widening = std::pow(2.20099 / 1.959964, 2);
  const double scatter = widening * std::sqrt(2.0 / 12.0);
  EXPECT_GT(sum / kDrives * kStretches, widening - 1.0 - 4.0 * scatter / std::sqrt(kDrives));
  EXPECT_LT(sum / kDrives * kStretches, widening - 1.0 + 0.5 * scatter);
}

TEST(LastingErrors, OfAFewStretchesCannotBeTold) {
  std::vector<OdometryFactor> few = turns([](std::size_t) { return 0.3; });
  few.resize(71);
  EXPECT_EQ(lasting_turn_variance(few, 1.0 / 120.0), 0.0);
}

}  // namespace
}  // namespace wainscot
