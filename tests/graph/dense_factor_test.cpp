#include "graph/dense_factor.hpp"

#include <random>

#include <gtest/gtest.h>
#include <Eigen/Dense>

namespace wainscot {
namespace {

TEST(DenseFactor, SolvesAndGivesTheInverse) {
  std::mt19937 random(5);
  std::normal_distribution<double> normal;
  const auto draw = [&] { return normal(random); };
  const Eigen::MatrixXd root = Eigen::MatrixXd::NullaryExpr(150, 150, draw);
  const Eigen::MatrixXd matrix = root * root.transpose() + Eigen::MatrixXd::Identity(150, 150);
  const Eigen::VectorXd right_side = Eigen::VectorXd::NullaryExpr(150, draw);
  DenseFactor factor(matrix);
  ASSERT_TRUE(factor.factorise(1.0));
  ASSERT_TRUE(factor.factorise(0.0)) << "damping is taken back";
  const Eigen::MatrixXd inverse = matrix.inverse();
  EXPECT_LT((matrix * factor.solution(right_side) - right_side).norm(), 1e-8);
  EXPECT_LT((factor.covariance(20, 60) - inverse.block<60, 60>(20, 20)).norm(), 1e-9);
  const Eigen::MatrixXd functions = Eigen::MatrixXd::NullaryExpr(150, 4, draw);
  EXPECT_LT((factor.covariance_of(functions) - functions.transpose() * inverse * functions).norm(), 1e-8);
  const std::vector<Eigen::Matrix3d> own = factor.covariances_of_three(50);
  ASSERT_EQ(own.size(), 50u);
  for (std::size_t i = 0; i < own.size(); ++i) {
    const auto at = 3 * static_cast<Eigen::Index>(i);
    EXPECT_LT((own[i] - inverse.block<3, 3>(at, at)).norm(), 1e-9) << i;
  }
}

TEST(DenseFactor, SaysThatAMatrixIsNotDefinite) {
  DenseFactor factor(Eigen::MatrixXd{{1.0, 2.0}, {2.0, 1.0}});
  EXPECT_FALSE(factor.factorise(0.0));
  EXPECT_TRUE(factor.factorise(3.0));
}

}  // namespace
}  // namespace wainscot
