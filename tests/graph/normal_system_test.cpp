#include "graph/normal_system.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

#include <gtest/gtest.h>
#include <Eigen/Dense>
#include <Eigen/SparseCore>

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
        result.add(row, column, matrix.block<3, 3>(row, column));
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

TEST(NormalSystem, TakesBlocksOfAnySizeAnywhere) {
  std::mt19937 random(3);
  std::normal_distribution<double> normal;
  const Eigen::Index size = 83;
  Eigen::MatrixXd expected = Eigen::MatrixXd::Zero(size, size);
  NormalSystem system(size);
  for (int i = 0; i < 300; ++i) {
    const Eigen::Index rows = 1 + static_cast<Eigen::Index>(random() % 14);
    const Eigen::Index columns = 1 + static_cast<Eigen::Index>(random() % 14);
    const Eigen::Index column = static_cast<Eigen::Index>(random() % static_cast<std::size_t>(size - 28));
    const Eigen::Index beyond = static_cast<Eigen::Index>(random() % static_cast<std::size_t>(size - 28 - column + 1));
    const Eigen::Index row = i % 5 == 0 ? column : column + columns - 1 + beyond;
    const Eigen::Index wide = row == column ? rows : columns;
    const Eigen::MatrixXd block = Eigen::MatrixXd::NullaryExpr(rows, wide, [&] { return normal(random); });
    system.add(row, column, block);
    expected.block(row, column, rows, wide) += block;
  }
  expected.triangularView<Eigen::StrictlyUpper>() = expected.transpose();
  EXPECT_EQ((system.dense() - expected).norm(), 0.0);
  const Eigen::SparseMatrix<double> sparse = system.sparse();
  const Eigen::MatrixXd lower = expected.triangularView<Eigen::Lower>();
  EXPECT_EQ((Eigen::MatrixXd(sparse) - lower).norm(), 0.0);
  const auto filled = static_cast<double>((lower.array() != 0.0).count());
  EXPECT_DOUBLE_EQ(system.share_filled(), filled / (0.5 * 83.0 * 84.0));
}

TEST(NormalSystem, KeepsBlocksOfThreeOnTheDiagonalWhole) {
  NormalSystem system(30);
  system.entry(29, 29) = 1.0;
  EXPECT_EQ(system.sparse().nonZeros(), 60);
  EXPECT_EQ(NormalSystem(0).sparse().nonZeros(), 0);
}

/// A chain of `nodes` groups of three, each with its neighbours up to `reach` away, and one group that all depend on.
NormalSystem chain(Eigen::Index nodes, Eigen::Index reach) {
  std::mt19937 random(11);
  std::normal_distribution<double> normal;
  const auto draw = [&] { return normal(random); };
  NormalSystem system(3 * nodes + 3);
  for (Eigen::Index i = 0; i <= nodes; ++i) {
    system.add(3 * i, 3 * i, Eigen::Matrix3d::Identity());
    for (Eigen::Index j = std::max<Eigen::Index>(0, i - reach); j < i; ++j) {
      for (const Eigen::Index to : {i, nodes}) {
        const Eigen::Matrix3d by_to = Eigen::Matrix3d::NullaryExpr(draw);
        const Eigen::Matrix3d by_from = Eigen::Matrix3d::NullaryExpr(draw);
        system.add(3 * to, 3 * to, by_to.transpose() * by_to);
        system.add(3 * j, 3 * j, by_from.transpose() * by_from);
        system.add(3 * to, 3 * j, by_to.transpose() * by_from);
      }
    }
    system.right_side<3>(3 * i) += Eigen::Vector3d::NullaryExpr(draw);
  }
  return system;
}

TEST(NormalFactor, IsSparseWhereThatIsCheaper) {
  EXPECT_TRUE(NormalFactor(chain(120, 3)).is_sparse());
  EXPECT_FALSE(NormalFactor(chain(120, 100)).is_sparse());
  EXPECT_FALSE(NormalFactor(Problem(90).system()).is_sparse());
  for (const Eigen::Index reach : {3, 100}) {
    const NormalSystem system = chain(120, reach);
    NormalFactor factor(system);
    ASSERT_TRUE(factor.factorise());
    const Eigen::MatrixXd inverse = system.dense().inverse();
    EXPECT_LT((factor.solution() - inverse * system.right_side()).norm(), 1e-9);
    EXPECT_LT((factor.covariance(358, 5) - inverse.block<5, 5>(358, 358)).norm(), 1e-9);
    EXPECT_LT((factor.covariances_of_three(120)[60] - inverse.block<3, 3>(180, 180)).norm(), 1e-9);
  }
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
  indefinite.add(0, 0, Eigen::Matrix3d{{1.0, 0.0, 0.0}, {2.0, 1.0, 0.0}, {0.0, 0.0, 1.0}});
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
