#include "graph/adjust/length_evidence.hpp"

#include <gtest/gtest.h>
#include <Eigen/Dense>

namespace wainscot {
namespace {

/// Two tapes across rooms of 4 m and 2 m and one through a wall of 0.1 m, two of which share half of their errors.
LengthEquations three_tapes() {
  LengthEquations equations;
  equations.by_scale_and_offset.resize(3, 2);
  equations.by_scale_and_offset << 4.0, 2.0, 2.0, 2.0, 0.1, -2.0;
  equations.wanted = Eigen::Vector3d(0.008, 0.006, -0.003);
  equations.covariance = Eigen::Vector3d(16e-6, 16e-6, 4e-6).asDiagonal();
  equations.covariance(0, 1) = equations.covariance(1, 0) = 8e-6;
  return equations;
}

TEST(LengthEvidenceTest, CostIsThatOfGeneralisedLeastSquares) {
  const LengthEquations equations = three_tapes();
  const LengthEvidence evidence = length_evidence(equations, 1e-6);
  ConstantVector change = ConstantVector::Zero();
  change[kRangeScale] = 0.0011;
  change[kRangeOffset] = 0.0007;
  change[kTimeOffset] = 0.3;  // says nothing of lengths
  const Eigen::Vector3d rest = equations.wanted - equations.by_scale_and_offset * Eigen::Vector2d(0.0011, 0.0007);
  EXPECT_NEAR(evidence.cost(change), 0.5 * rest.dot(equations.covariance.inverse() * rest), 1e-9);
}

TEST(LengthEvidenceTest, TheLeastCostIsWhereTheGradientVanishes) {
  const LengthEvidence evidence = length_evidence(three_tapes(), 1e-6);
  ConstantVector change = ConstantVector::Zero();
  change.segment<2>(kRangeScale) =
      evidence.information.block<2, 2>(kRangeScale, kRangeScale).inverse() * evidence.pull.segment<2>(kRangeScale);
  const double least = evidence.cost(change);
  EXPECT_GE(least, 0.0);
  for (const Constant c : {kRangeScale, kRangeOffset}) {
    for (const double step : {-1e-4, 1e-4}) {
      ConstantVector beside = change;
      beside[c] += step;
      EXPECT_GT(evidence.cost(beside), least);
    }
  }
}

TEST(LengthEvidenceTest, WhatIsSaidOfTheScaleCountsWithWhatIsKnownOfTheOffset) {
  LengthEquations one;
  one.by_scale_and_offset.resize(1, 2);
  one.by_scale_and_offset << 4.0, 2.0;
  one.wanted = Eigen::VectorXd::Constant(1, 0.01);
  one.covariance = Eigen::MatrixXd::Constant(1, 1, 9e-6);
  // 4 m known to 3 mm and twice 1 mm.
  EXPECT_NEAR(1.0 / length_evidence(one, 1e-6).on_scale, (9e-6 + 4e-6) / 16.0, 1e-12);
  EXPECT_TRUE(length_evidence(one, 1e-6).any());
}

TEST(LengthEvidenceTest, NoLengthsSayNothing) {
  LengthEquations none;
  none.by_scale_and_offset.resize(0, 2);
  const LengthEvidence evidence = length_evidence(none, 1e-6);
  EXPECT_FALSE(evidence.any());
  EXPECT_EQ(evidence.cost(ConstantVector::Ones()), 0.0);
  EXPECT_EQ(evidence.widening, 1.0);
}

TEST(LengthEvidenceTest, WiderScalesAreLessSureByThatFactorAndNothingElseIs) {
  Drive drive;
  drive.robot.drive = DriveConstants{};
  drive.robot.drive->left_m_per_tick = drive.robot.drive->right_m_per_tick = 1e-4;
  drive.robot.drive->track_width_m = 0.3;
  drive.wheels.resize(2);
  const ConstantMatrix before = constant_prior(drive);
  const ConstantMatrix after = with_wider_scales(before.inverse(), 3.0).inverse();
  EXPECT_NEAR(after(kRangeScale, kRangeScale), 9.0 * before(kRangeScale, kRangeScale), 1e-12);
  EXPECT_NEAR(after(kDistanceScale, kDistanceScale), 9.0 * before(kDistanceScale, kDistanceScale), 1e-12);
  EXPECT_NEAR(after(kRangeOffset, kRangeOffset), before(kRangeOffset, kRangeOffset), 1e-12);
  EXPECT_NEAR(after(kTurnScale, kTurnScale), before(kTurnScale, kTurnScale), 1e-12);
}

}  // namespace
}  // namespace wainscot
