// SE(2) against the matrix exponential and logarithm of Eigen's MatrixFunctions module (unsupported/Eigen), which knows
// nothing of the plane's closed forms: N. J. Higham, "The scaling and squaring method for the matrix exponential
// revisited", SIAM J. Matrix Anal. Appl. 26, 2005, and "Functions of Matrices", SIAM, 2008.

#include <cmath>
#include <random>

#include <gtest/gtest.h>
#include <Eigen/Dense>
#include <unsupported/Eigen/MatrixFunctions>

#include "core/pose2.hpp"

namespace wainscot {
namespace {

/// A pose as a homogeneous matrix.
Eigen::Matrix3d matrix_of(const Pose2& pose) {
  Eigen::Matrix3d result = Eigen::Matrix3d::Identity();
  result.topLeftCorner<2, 2>() = pose.rotation();
  result.topRightCorner<2, 1>() = pose.translation();
  return result;
}

/// A tangent vector as an element of the Lie algebra se(2).
Eigen::Matrix3d algebra_of(const Tangent2& tangent) {
  Eigen::Matrix3d result = Eigen::Matrix3d::Zero();
  result(0, 1) = -tangent.z();
  result(1, 0) = tangent.z();
  result(0, 2) = tangent.x();
  result(1, 2) = tangent.y();
  return result;
}

class OutsideSe2 : public testing::Test {
 protected:
  Tangent2 tangent(double angle_limit_rad) {
    std::uniform_real_distribution<double> unit(-1.0, 1.0);
    return {3.0 * unit(random_), 3.0 * unit(random_), angle_limit_rad * unit(random_)};
  }

  std::mt19937 random_{2024};
};

TEST_F(OutsideSe2, ExponentialIsTheMatrixExponential) {
  for (int trial = 0; trial < 1000; ++trial) {
    // Tiny, small and winding angles.
    const Tangent2 t = tangent(trial % 3 == 0 ? 1e-5 : trial % 3 == 1 ? 1.0 : 12.0);
    const Eigen::Matrix3d expected = algebra_of(t).exp();
    EXPECT_NEAR((matrix_of(exp(t)) - expected).norm(), 0.0, 1e-11) << t.transpose();
  }
}

TEST_F(OutsideSe2, LogarithmIsTheMatrixLogarithm) {
  for (int trial = 0; trial < 1000; ++trial) {
    // Below half a turn, where the principal logarithm is the short way round.
    const Pose2 pose = exp(tangent(trial % 2 == 0 ? 1e-3 : 3.1));
    const Eigen::Matrix3d expected = matrix_of(pose).log();
    EXPECT_NEAR((algebra_of(log(pose)) - expected).norm(), 0.0, 1e-9) << pose.heading_rad;
  }
}

TEST_F(OutsideSe2, AdjointIsConjugationOfMatrices) {
  for (int trial = 0; trial < 1000; ++trial) {
    const Pose2 pose = exp(tangent(3.0));
    const Tangent2 t = tangent(1.0);
    const Eigen::Matrix3d conjugated = matrix_of(pose) * algebra_of(t) * matrix_of(pose).inverse();
    EXPECT_NEAR((algebra_of(adjoint(pose) * t) - conjugated).norm(), 0.0, 1e-12);
  }
}

TEST_F(OutsideSe2, CompositionAndInverseAreThoseOfMatrices) {
  for (int trial = 0; trial < 200; ++trial) {
    const Pose2 a = exp(tangent(3.0));
    const Pose2 b = exp(tangent(3.0));
    EXPECT_NEAR((matrix_of(a * b) - matrix_of(a) * matrix_of(b)).norm(), 0.0, 1e-13);
    EXPECT_NEAR((matrix_of(inverse(a)) - matrix_of(a).inverse()).norm(), 0.0, 1e-13);
    EXPECT_NEAR((matrix_of(between(a, b)) - matrix_of(a).inverse() * matrix_of(b)).norm(), 0.0, 1e-13);
  }
}

}  // namespace
}  // namespace wainscot
