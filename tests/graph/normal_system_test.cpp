#include "graph/normal_system.hpp"

#include <cmath>
#include <limits>
#include <random>

#include <gtest/gtest.h>
#include <Eigen/Dense>

namespace wainscot {
namespace {

struct Problem {
  Eigen::MatrixXd matrix;
  Eigen::VectorXd right_side;

  explicit Problem(Eigen::Index size) {
    std::mt19937 random(7);
    std::normal_distribution<double> normal;
    const auto draw = [&] { return normal(random); };
    const Eigen::MatrixXd root = Eigen::MatrixXd::NullaryExpr(size, size, draw);
    matrix = root * root.transpose() + Eigen::MatrixXd::Identity(size, size);
    right_side = Eigen::VectorXd::NullaryExpr(size, draw);
  }
  /// Blocks of three on and below the diagonal.
  NormalSystem system() const {
    NormalSystem result(matrix.rows());
    for (Eigen::Index row = 0; row < matrix.rows(); row += 3) {
      for (Eigen::Index column = 0; column <= row; column += 3) {
        result.block<3, 3>(row, column) += matrix.block<3, 3>(row, column);
      }
      result.right_side<3>(row) += right_side.segment<3>(row);
    }
    return result;
  }
};

TEST(NormalSystem, HoldsWhatWasAdded) {
  const Problem problem(12);
  NormalSystem system = problem.system();
  EXPECT_EQ(system.size(), 12);
  EXPECT_EQ((system.dense() - problem.matrix).norm(), 0.0);
  EXPECT_EQ((system.right_side() - problem.right_side).norm(), 0.0);
  system.entry(5, 2) += 1.0;
  EXPECT_EQ(system.dense()(2, 5), problem.matrix(5, 2) + 1.0);
}

TEST(NormalFactor, SolvesAndGivesTheInverse) {
  const Problem problem(120);
  NormalFactor factor(problem.system());
  ASSERT_TRUE(factor.factorise());
  EXPECT_LT((problem.matrix * factor.solution() - problem.right_side).norm(), 1e-8);
  const Eigen::MatrixXd inverse = problem.matrix.inverse();
  EXPECT_LT((factor.covariance(117, 3) - inverse.bottomRightCorner<3, 3>()).norm(), 1e-9);
  EXPECT_LT((factor.covariance(30, 14) - inverse.block<14, 14>(30, 30)).norm(), 1e-9);
  EXPECT_EQ(factor.covariance(120, 0).size(), 0);
  const std::vector<Eigen::Matrix3d> own = factor.covariances_of_three(38);  // more than one batch
  ASSERT_EQ(own.size(), 38u);
  for (std::size_t i = 0; i < own.size(); ++i) {
    const auto at = 3 * static_cast<Eigen::Index>(i);
    EXPECT_LT((own[i] - inverse.block<3, 3>(at, at)).norm(), 1e-9) << i;
  }
}

TEST(NormalFactor, DampingIsOfTheDiagonalAndCanBeTakenBack) {
  const Problem problem(60);
  NormalFactor factor(problem.system());
  ASSERT_TRUE(factor.factorise());
  const Eigen::VectorXd plain = factor.solution();
  ASSERT_TRUE(factor.factorise(0.5));
  Eigen::MatrixXd damped = problem.matrix;
  damped.diagonal() *= 1.5;
  EXPECT_LT((damped * factor.solution() - problem.right_side).norm(), 1e-9);
  EXPECT_LT(factor.solution().norm(), plain.norm());
  ASSERT_TRUE(factor.factorise());
  EXPECT_EQ((factor.solution() - plain).norm(), 0.0) << "the same bytes";
}

TEST(NormalFactor, SaysThatAMatrixIsNotDefinite) {
  NormalSystem singular(3);
  singular.entry(0, 0) = 1.0;
  singular.entry(2, 2) = 1.0;
  EXPECT_FALSE(NormalFactor(singular).factorise());
  NormalSystem indefinite(3);
  indefinite.block<3, 3>(0, 0) << 1.0, 0.0, 0.0, 2.0, 1.0, 0.0, 0.0, 0.0, 1.0;
  NormalFactor factor(indefinite);
  EXPECT_FALSE(factor.factorise());
  EXPECT_FALSE(factor.factorise(0.5));
  EXPECT_TRUE(factor.factorise(3.0)) << "damped enough";
}

TEST(NormalFactor, SaysThatAMatrixIsNotFinite) {
  for (const double bad : {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()}) {
    for (const Eigen::Index row : {0, 40, 299}) {
      NormalSystem system = Problem(300).system();
      system.entry(row, 0) = bad;
      NormalFactor factor(system);
      EXPECT_FALSE(factor.factorise()) << row;
      EXPECT_FALSE(factor.factorise(10.0)) << row;
    }
  }
}

}  // namespace
}  // namespace wainscot
