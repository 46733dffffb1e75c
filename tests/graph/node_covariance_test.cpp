#include "graph/node_covariance.hpp"

#include <array>
#include <cmath>
#include <limits>
#include <stdexcept>

#include <gtest/gtest.h>
#include <Eigen/Dense>

namespace wainscot {
namespace {

/// Three nodes in a row, each known from the one before to 1 cm and 0.01 rad, as they state it.
PoseGraph chain() {
  PoseGraph graph;
  graph.nodes.resize(3);
  for (std::size_t i = 0; i < 3; ++i) {
    graph.nodes[i].pose = {static_cast<double>(i), 0.0, 0.0};
    graph.nodes[i].covariance = static_cast<double>(i) * 1e-4 * Eigen::Matrix3d::Identity();
    if (i > 0) {
      graph.edges.push_back({EdgeKind::match, i - 1, i, {1.0, 0.0, 0.0}, 1e4 * Eigen::Matrix3d::Identity()});
    }
  }
  return graph;
}

TEST(NodeCovarianceTest, SizesAreThoseStated) {
  const PoseGraph graph = chain();
  const Eigen::MatrixXd covariance = NodeCovariance(graph).of(std::array<std::size_t, 3>{0, 1, 2});
  EXPECT_LT(covariance.topRows<3>().norm(), 1e-9);
  EXPECT_LT((covariance.block<3, 3>(3, 3) - graph.nodes[1].covariance).norm(), 1e-9);
  EXPECT_LT((covariance.block<3, 3>(6, 6) - graph.nodes[2].covariance).norm(), 1e-9);
}

TEST(NodeCovarianceTest, NeighboursErrorsHangTogether) {
  const PoseGraph graph = chain();
  const Eigen::MatrixXd covariance = NodeCovariance(graph).of(std::array<std::size_t, 2>{1, 2});
  const auto correlation = [&](int a, int b) {
    return covariance(a, b) / std::sqrt(covariance(a, a) * covariance(b, b));
  };
  // Along the chain two equal steps of which one is common: 1 / sqrt(2).
  EXPECT_NEAR(correlation(0, 3), std::sqrt(0.5), 0.01);
  EXPECT_GT(correlation(2, 5), 0.5);
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> solver(covariance);
  EXPECT_GT(solver.eigenvalues().minCoeff(), -1e-12);
}

TEST(NodeCovarianceTest, ANodeThatNoEdgeHoldsHangsTogetherWithNone) {
  PoseGraph graph = chain();
  graph.edges.pop_back();
  const Eigen::MatrixXd covariance = NodeCovariance(graph).of(std::array<std::size_t, 2>{1, 2});
  EXPECT_LT((covariance.block<3, 3>(0, 3).norm()), 1e-9);
}

TEST(NodeCovarianceTest, AGraphThatIsNotFiniteIsRefused) {
  PoseGraph graph = chain();
  graph.nodes[1].pose.x_m = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(NodeCovariance{graph}, std::runtime_error);
}

}  // namespace
}  // namespace wainscot
