#include "graph/adjust/damped_step.hpp"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// One unknown: matrix, right side.
NormalFactor scalar(double matrix, double right_side) {
  NormalSystem system(1);
  system.entry(0, 0) = matrix;
  system.right_side<1>(0)[0] = right_side;
  return NormalFactor(system);
}

TEST(DampedStep, ThePlainStepIsTakenWhereItServes) {
  NormalFactor factor = scalar(4.0, 8.0);
  int asked = 0;
  const DampedStep step = damped_step(factor, 8.0, [&](const Eigen::VectorXd& by) {
    ++asked;
    return 2.0 * (by[0] - 2.0) * (by[0] - 2.0);
  });
  EXPECT_EQ(step.end, StepEnd::taken);
  EXPECT_EQ(step.step[0], 2.0);
  EXPECT_EQ(step.damping, 0.0);
  EXPECT_EQ(step.cost_before, 8.0);
  EXPECT_EQ(step.cost_after, 0.0);
  EXPECT_EQ(asked, 1);
}

// Gauss-Newton on atan(x) = 0 from x = 3 lands beyond -9 and runs away from there: J. Dennis, R. Schnabel, "Numerical
// Methods for Unconstrained Optimization and Nonlinear Equations", 1983, chapter 5. The cost of atan can only rise to
// 1.6 times that at 3, so that the rise that matters is set below it.
TEST(DampedStep, AStepThatGoesTooFarIsDamped) {
  DampingOptions options;
  options.most_rise = 0.1;
  double x = 3.0;
  const auto cost = [](double at) { return 0.5 * std::atan(at) * std::atan(at); };
  for (int round = 0; round < 12; ++round) {
    const double slope = 1.0 / (1.0 + x * x);
    NormalFactor factor = scalar(slope * slope, -slope * std::atan(x));
    const DampedStep step = damped_step(
        factor, cost(x), [&](const Eigen::VectorXd& by) { return cost(x + by[0]); }, options);
    ASSERT_EQ(step.end, StepEnd::taken) << round;
    EXPECT_TRUE(round > 0 || step.damping > 0.0);
    EXPECT_LE(step.cost_after, 1.1 * step.cost_before);
    x += step.step[0];
  }
  EXPECT_NEAR(x, 0.0, 1e-9);
}

TEST(DampedStep, ASmallRiseDoesNotMatter) {
  NormalFactor factor = scalar(1.0, 1.0);
  EXPECT_EQ(damped_step(factor, 100.0, [](const Eigen::VectorXd&) { return 105.0; }).damping, 0.0);
}

TEST(DampedStep, WhereEveryStepMakesItWorseNoneIsTaken) {
  NormalFactor factor = scalar(1.0, 1.0);
  const DampedStep step = damped_step(factor, 1.0, [](const Eigen::VectorXd&) { return 2.1; });
  EXPECT_EQ(step.end, StepEnd::cost_rose);
  EXPECT_EQ(step.step.size(), 0);
}

TEST(DampedStep, ACostThatIsNotANumberIsNoSuccess) {
  NormalFactor factor = scalar(1.0, 1.0);
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(damped_step(factor, 1.0, [&](const Eigen::VectorXd&) { return nan; }).end, StepEnd::cost_rose);
  EXPECT_EQ(damped_step(factor, nan, [](const Eigen::VectorXd&) { return 0.0; }).end, StepEnd::cost_rose);
}

TEST(DampedStep, AMatrixThatIsNotFiniteCannotBeSolved) {
  NormalFactor factor = scalar(std::numeric_limits<double>::quiet_NaN(), 1.0);
  const DampedStep step = damped_step(factor, 1.0, [](const Eigen::VectorXd&) { return 0.0; });
  EXPECT_EQ(step.end, StepEnd::unsolvable);
  NormalFactor other = scalar(1.0, std::numeric_limits<double>::infinity());
  EXPECT_EQ(damped_step(other, 1.0, [](const Eigen::VectorXd&) { return 0.0; }).end, StepEnd::unsolvable);
}

TEST(DampedStep, AnUnknownThatNothingHoldsStays) {
  NormalSystem system(2);
  system.entry(0, 0) = 2.0;
  system.right_side<1>(0)[0] = 2.0;
  NormalFactor factor(system);
  const DampedStep step =
      damped_step(factor, 1.0, [](const Eigen::VectorXd& by) { return (by[0] - 1.0) * (by[0] - 1.0); });
  EXPECT_EQ(step.end, StepEnd::taken);
  EXPECT_GT(step.damping, 0.0);
  EXPECT_NEAR(step.step[0], 1.0, 0.01);
  EXPECT_EQ(step.step[1], 0.0);
}

}  // namespace
}  // namespace wainscot
