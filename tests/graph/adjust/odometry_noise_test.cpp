#include "graph/adjust/odometry_noise.hpp"

#include <cmath>
#include <random>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// A chain of nodes along which odometry errs, and which walls hold with some standard deviation. All nodes are at
/// their true places before the adjustment.
struct HeldChain {
  static constexpr std::size_t kNodes = 301;
  UnknownLayout layout{kNodes};
  std::vector<OdometryFactor> factors;
  NormalFactor factor{NormalSystem(0)};

  /// `stated`, `held`: standard deviations, the same in all parts.
  HeldChain(double truly, double stated, double held, unsigned seed)
      : HeldChain(Eigen::Vector3d::Constant(truly), stated, held, seed, 0.0) {}

  /// `truly`: of each part's own error; an error of the heading puts the way aside by `lever_m` a radian, as stated.
  HeldChain(const Eigen::Vector3d& truly, double stated, double held, unsigned seed, double lever_m) {
    Eigen::Matrix3d by_own = Eigen::Matrix3d::Identity();
    by_own(1, 2) = lever_m;
    std::mt19937 random(seed);
    std::normal_distribution<double> normal(0.0, 1.0);
    const auto draw = [&](const Eigen::Vector3d& sd) {
      return Eigen::Vector3d(sd[0] * normal(random), sd[1] * normal(random), sd[2] * normal(random));
    };
    NormalSystem system(layout.size());
    Eigen::VectorXd walls = Eigen::VectorXd::Zero(layout.size());
    for (std::size_t k = 1; k < kNodes; ++k) {
      system.add(layout.node(k), layout.node(k), Eigen::Matrix3d(Eigen::Matrix3d::Identity() / (held * held)));
      walls.segment<3>(layout.node(k)) = draw(Eigen::Vector3d::Constant(held));
      system.right_side<3>(layout.node(k)) += walls.segment<3>(layout.node(k)) / (held * held);
    }
    system.add(layout.constants(), layout.constants(), ConstantMatrix(ConstantMatrix::Identity()));
    for (std::size_t i = 0; i + 1 < kNodes; ++i) {
      OdometryFactor f;
      f.covariance = stated * stated * by_own * by_own.transpose();
      f.information = f.covariance.inverse();
      f.by_from = -Eigen::Matrix3d::Identity();
      f.by_to = Eigen::Matrix3d::Identity();
      f.by_constants.setZero();
      f.residual = by_own * draw(truly);
      factors.push_back(f);
    }
    add_odometry(factors, layout, system);
    factor = NormalFactor(system);
    EXPECT_TRUE(factor.factorise());
  }
};

TEST(OdometryNoise, IsFoundWhereWallsHoldTheNodesFirmly) {
  // One step of Helmert's rule is all that is needed where the unknowns take next to nothing.
  const HeldChain chain(0.02, 0.05, 0.001, 1);
  for (const double ratio : found_odometry_noise(chain.factors, {1.0, 1.0, 1.0}, chain.factor, chain.layout)) {
    EXPECT_NEAR(ratio, 0.4, 4.0 * 0.4 / std::sqrt(2.0 * 300.0));  // four standard deviations
  }
}

TEST(OdometryNoise, WhatTheHeadingPutsAsideIsNoSidewaysSlip) {
  // The heading is as noisy as stated and puts the way aside by three times what it slips sideways, as stated.
  const HeldChain chain(Eigen::Vector3d(0.05, 0.01, 0.05), 0.05, 0.001, 5, 3.0);
  const std::array<double, 3> found = found_odometry_noise(chain.factors, {1.0, 1.0, 1.0}, chain.factor, chain.layout);
  const double sd_rel = 1.0 / std::sqrt(2.0 * 300.0);
  EXPECT_NEAR(found[0], 1.0, 4.0 * sd_rel);
  EXPECT_NEAR(found[1], 0.2, 4.0 * 0.2 * sd_rel);
  EXPECT_NEAR(found[2], 1.0, 4.0 * sd_rel);
}

TEST(OdometryNoise, StaysWhereItIsRightThoughTheResidualsHaveShrunk) {
  // Walls and odometry are as good as one another, so that the residuals are much smaller than odometry's noise.
  const HeldChain chain(0.02, 0.02, 0.02, 2);
  const Eigen::VectorXd step = chain.factor.solution();
  double squares = 0.0;
  for (std::size_t i = 0; i < chain.factors.size(); ++i) {
    Eigen::Vector3d after = chain.factors[i].residual + step.segment<3>(chain.layout.node(i + 1));
    if (i > 0) after -= step.segment<3>(chain.layout.node(i));
    squares += after.squaredNorm() / 900.0;
  }
  EXPECT_LT(std::sqrt(squares), 0.9 * 0.02);
  for (const double ratio : found_odometry_noise(chain.factors, {1.0, 1.0, 1.0}, chain.factor, chain.layout)) {
    EXPECT_NEAR(ratio, 1.0, 0.25);
  }
}

TEST(OdometryNoise, IsFoundInAFewRoundsWhereWallsHoldTheNodesLoosely) {
  // Odometry errs by a third of what the walls do and is taken for three times as noisy as it is.
  double ratio = 1.0;
  for (int round = 0; round < 4; ++round) {
    const HeldChain chain(0.02, 0.06 * ratio, 0.06, 5);
    const std::array<double, 3> found =
        found_odometry_noise(chain.factors, {ratio, ratio, ratio}, chain.factor, chain.layout);
    ratio = (found[0] + found[1] + found[2]) / 3.0;
  }
  // Some 900 residuals with tr R R of 0.15 each: 6 per cent is the standard deviation of what can be found.
  EXPECT_NEAR(ratio, 1.0 / 3.0, 4.0 * 0.06 / 3.0);
}

TEST(OdometryNoise, StaysAsGivenWhereOdometryAloneHoldsTheNodes) {
  const HeldChain chain(0.02, 0.02, 1000.0, 3);
  const std::array<double, 3> found = found_odometry_noise(chain.factors, {1.0, 1.5, 1.0}, chain.factor, chain.layout);
  EXPECT_EQ(found[1], 1.5) << "nothing is left to tell";
}

TEST(OdometryNoise, IsNotLearntWhereASlipMayHide) {
  HeldChain chain(0.02, 0.05, 0.001, 1);
  for (std::size_t i = 0; i < chain.factors.size(); ++i) chain.factors[i].may_slip = i % 2 == 0;
  const std::array<double, 3> found = found_odometry_noise(chain.factors, {1.0, 1.0, 1.0}, chain.factor, chain.layout);
  for (std::size_t i = 0; i < chain.factors.size(); i += 2) chain.factors[i].residual.setConstant(0.3);
  const std::array<double, 3> slipped =
      found_odometry_noise(chain.factors, {1.0, 1.0, 1.0}, chain.factor, chain.layout);
  for (std::size_t part = 0; part < 3; ++part) {
    EXPECT_NEAR(found[part], 0.4, 4.0 * 0.4 / std::sqrt(2.0 * 150.0));  // four standard deviations
    EXPECT_NEAR(slipped[part], found[part], 1e-3);
  }
}

TEST(OdometryNoise, SlipsDoNotCount) {
  HeldChain chain(0.02, 0.02, 0.001, 4);
  for (std::size_t i = 0; i < 15; ++i) chain.factors[20 * i].residual.setConstant(1.0);
  for (const double ratio : found_odometry_noise(chain.factors, {1.0, 1.0, 1.0}, chain.factor, chain.layout)) {
    EXPECT_LT(ratio, 1.25);
  }
}

}  // namespace
}  // namespace wainscot
