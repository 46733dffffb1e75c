#include "graph/least_squares.hpp"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(LeastSquares, FindsTheValleyOfRosenbrocksFunction) {
  // H. H. Rosenbrock, The Computer Journal 3(3), 1960: the least value 0 lies at (1, 1).
  const ResidualFunction valley = [](const Eigen::VectorXd& x) {
    return Eigen::VectorXd(Eigen::Vector2d(10.0 * (x[1] - x[0] * x[0]), 1.0 - x[0]));
  };
  const LeastSquares found = minimise_squares(valley, Eigen::Vector2d(-1.2, 1.0));
  EXPECT_NEAR(found.unknowns[0], 1.0, 1e-6);
  EXPECT_NEAR(found.unknowns[1], 1.0, 1e-6);
  EXPECT_NEAR(found.residuals.norm(), 0.0, 1e-6);
  EXPECT_NEAR(found.jacobian(0, 0), -20.0, 1e-4);
  EXPECT_NEAR(found.jacobian(0, 1), 10.0, 1e-5);
}

TEST(LeastSquares, WhatNothingDependsOnStays) {
  const ResidualFunction first_only = [](const Eigen::VectorXd& x) {
    return Eigen::VectorXd(Eigen::Vector2d(x[0] - 3.0, 0.5 * (x[0] - 5.0)));
  };
  const LeastSquares found = minimise_squares(first_only, Eigen::Vector2d(0.0, 0.25));
  EXPECT_TRUE(found.usable);
  EXPECT_NEAR(found.unknowns[0], 3.4, 1e-6);
  EXPECT_EQ(found.unknowns[1], 0.25);
}

TEST(LeastSquares, ResidualsThatAreNotFiniteLeaveEverythingAsItWas) {
  const ResidualFunction poisoned = [](const Eigen::VectorXd& x) {
    return Eigen::VectorXd(Eigen::Vector2d(x[0] - 1.0, std::numeric_limits<double>::quiet_NaN()));
  };
  const LeastSquares found = minimise_squares(poisoned, Eigen::Vector2d(0.5, 0.25));
  EXPECT_FALSE(found.usable);
  EXPECT_EQ(found.unknowns, Eigen::VectorXd(Eigen::Vector2d(0.5, 0.25)));
  EXPECT_EQ(found.residuals[0], -0.5);
  EXPECT_TRUE(found.jacobian.allFinite());
  EXPECT_FALSE(evaluate_squares(poisoned, Eigen::Vector2d(0.5, 0.25)).usable);
}

}  // namespace
}  // namespace wainscot
