#include "graph/sparse_factor.hpp"

#include <limits>
#include <random>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "graph/dense_factor.hpp"

namespace wainscot {
namespace {

/// Positive definite: `blocks` groups of three, some pairs of which are coupled at random, and `border` unknowns that
/// everything depends on.
Eigen::MatrixXd random_matrix(unsigned seed, Eigen::Index blocks, Eigen::Index border, int couplings) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal;
  const auto draw = [&] { return normal(random); };
  const Eigen::Index inner = 3 * blocks;
  Eigen::MatrixXd matrix = Eigen::MatrixXd::Identity(inner + border, inner + border);
  for (int i = 0; i < couplings; ++i) {
    Eigen::MatrixXd root = Eigen::MatrixXd::Zero(3, inner + border);
    for (int side = 0; side < 2; ++side) {
      const auto at = 3 * static_cast<Eigen::Index>(random() % static_cast<std::size_t>(blocks));
      root.middleCols<3>(at) = Eigen::Matrix3d::NullaryExpr(draw);
    }
    root.rightCols(border) = Eigen::MatrixXd::NullaryExpr(3, border, draw);
    matrix += root.transpose() * root;
  }
  return matrix;
}

Eigen::SparseMatrix<double> lower_of(const Eigen::MatrixXd& matrix) {
  Eigen::SparseMatrix<double> lower(matrix.rows(), matrix.cols());
  for (Eigen::Index c = 0; c < matrix.cols(); ++c) {
    for (Eigen::Index r = c; r < matrix.rows(); ++r) {
      if (!(matrix(r, c) == 0.0) || r / 3 == c / 3) lower.insert(r, c) = matrix(r, c);
    }
  }
  lower.makeCompressed();
  return lower;
}

TEST(SparseFactor, GivesWhatTheDenseOneGives) {
  for (unsigned seed = 0; seed < 10; ++seed) {
    const Eigen::Index blocks = 1 + 9 * static_cast<Eigen::Index>(seed);
    const Eigen::MatrixXd matrix =
        random_matrix(seed, blocks, static_cast<Eigen::Index>(seed % 7), 40 + 10 * static_cast<int>(seed));
    const Eigen::VectorXd right_side = Eigen::VectorXd::LinSpaced(matrix.rows(), -1.0, 2.0);
    DenseFactor dense(matrix);
    SparseFactor sparse(lower_of(matrix));
    for (const double damping : {0.0, 0.3, 0.0}) {
      ASSERT_TRUE(dense.factorise(damping));
      ASSERT_TRUE(sparse.factorise(damping));
      EXPECT_LT((sparse.solution(right_side) - dense.solution(right_side)).norm(), 1e-11) << seed;
      EXPECT_LT((sparse.covariance(0, matrix.rows()) - dense.covariance(0, matrix.rows())).norm(), 1e-11) << seed;
      const Eigen::MatrixXd functions = Eigen::MatrixXd::Identity(matrix.rows(), 3) + right_side.replicate<1, 3>();
      EXPECT_LT((sparse.covariance_of(functions) - dense.covariance_of(functions)).norm(), 1e-10) << seed;
      const auto groups = static_cast<std::size_t>(blocks);
      const std::vector<Eigen::Matrix3d> by_dense = dense.covariances_of_three(groups);
      const std::vector<Eigen::Matrix3d> by_sparse = sparse.covariances_of_three(groups);
      ASSERT_EQ(by_sparse.size(), groups);
      for (std::size_t i = 0; i < groups; ++i) {
        EXPECT_LT((by_sparse[i] - by_dense[i]).norm(), 1e-12) << seed << ", " << i;
      }
    }
  }
}

TEST(SparseFactor, GivesTheSameBytesAgain) {
  const Eigen::MatrixXd matrix = random_matrix(1, 60, 4, 150);
  const Eigen::VectorXd right_side = Eigen::VectorXd::Ones(matrix.rows());
  SparseFactor factor(lower_of(matrix));
  ASSERT_TRUE(factor.factorise(0.0));
  const Eigen::VectorXd plain = factor.solution(right_side);
  ASSERT_TRUE(factor.factorise(0.5));
  EXPECT_LT(factor.solution(right_side).norm(), plain.norm());
  ASSERT_TRUE(factor.factorise(0.0));
  EXPECT_EQ((factor.solution(right_side) - plain).norm(), 0.0);
}

TEST(SparseFactor, CountsMultiplications) {
  EXPECT_EQ(SparseFactor(lower_of(Eigen::MatrixXd::Ones(3, 3))).multiplications(), 9.0 + 4.0 + 1.0);
  // A chain of single unknowns, in blocks of three that are stored whole, fills in next to nothing.
  Eigen::MatrixXd chain = Eigen::MatrixXd::Identity(300, 300);
  for (Eigen::Index i = 1; i < 300; ++i) chain(i, i - 1) = chain(i - 1, i) = 0.1;
  EXPECT_LT(SparseFactor(lower_of(chain)).multiplications(), 300.0 * 16.0);
}

TEST(SparseFactor, SaysThatAMatrixIsNotDefinite) {
  SparseFactor singular(lower_of(Eigen::Vector3d(1.0, 0.0, 1.0).asDiagonal().toDenseMatrix()));
  EXPECT_FALSE(singular.factorise(0.0));
  Eigen::MatrixXd matrix = random_matrix(2, 20, 2, 30);
  matrix(7, 3) = matrix(3, 7) = 1e3;
  SparseFactor factor(lower_of(matrix));
  EXPECT_FALSE(factor.factorise(0.0));
  EXPECT_FALSE(factor.factorise(0.5));
  EXPECT_TRUE(factor.factorise(1e3)) << "damped enough";
}

TEST(SparseFactor, SaysThatAMatrixIsNotFinite) {
  for (const double bad : {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()}) {
    for (const Eigen::Index row : {0, 31, 61}) {
      Eigen::MatrixXd matrix = random_matrix(4, 20, 2, 30);
      matrix(row, 0) = matrix(0, row) = bad;
      SparseFactor factor(lower_of(matrix));
      EXPECT_FALSE(factor.factorise(0.0)) << row;
      EXPECT_FALSE(factor.factorise(10.0)) << row;
    }
  }
}

}  // namespace
}  // namespace wainscot
