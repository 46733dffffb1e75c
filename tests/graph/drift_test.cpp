#include "graph/drift.hpp"

#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

/// Around a square of `count` nodes, edges with full random information.
PoseGraph square_chain(std::size_t count, std::mt19937& random) {
  std::normal_distribution<double> normal;
  PoseGraph graph;
  graph.nodes.resize(count);
  for (std::size_t i = 1; i < count; ++i) {
    const double turn = i % 5 == 0 ? std::numbers::pi / 2 : 0.1 * normal(random);
    graph.nodes[i].pose = graph.nodes[i - 1].pose * exp({0.4, 0.02, turn});
    Eigen::Matrix3d root = 60.0 * Eigen::Matrix3d::Identity();
    for (int k = 0; k < 9; ++k) root(k / 3, k % 3) += 20.0 * normal(random);
    graph.edges.push_back(
        {EdgeKind::match, i - 1, i, between(graph.nodes[i - 1].pose, graph.nodes[i].pose), root * root.transpose()});
  }
  return graph;
}

std::vector<Pose2> poses_of(const PoseGraph& graph) {
  std::vector<Pose2> poses;
  for (const Node& node : graph.nodes) poses.push_back(node.pose);
  return poses;
}

/// Exact marginals against node `source`, tangent space of each node: the inverse of the whole graph's information at
/// poses where all residuals vanish.
std::vector<Eigen::Matrix3d> exact_marginals(const PoseGraph& graph, std::size_t source) {
  const auto size = static_cast<Eigen::Index>(3 * graph.nodes.size());
  Eigen::MatrixXd information = Eigen::MatrixXd::Zero(size, size);
  for (const Edge& edge : graph.edges) {
    const auto from = static_cast<Eigen::Index>(3 * edge.from);
    const auto to = static_cast<Eigen::Index>(3 * edge.to);
    Eigen::MatrixXd row = Eigen::MatrixXd::Zero(3, size);
    row.middleCols<3>(to).setIdentity();
    row.middleCols<3>(from) = -adjoint(between(graph.nodes[edge.to].pose, graph.nodes[edge.from].pose));
    information += row.transpose() * edge.information * row;
  }
  const auto fixed = static_cast<Eigen::Index>(3 * source);
  information.block<3, 3>(fixed, fixed) += 1e12 * Eigen::Matrix3d::Identity();
  const Eigen::MatrixXd covariance = information.inverse();
  std::vector<Eigen::Matrix3d> blocks;
  for (std::size_t i = 0; i < graph.nodes.size(); ++i) {
    const auto at = static_cast<Eigen::Index>(3 * i);
    blocks.emplace_back(covariance.block<3, 3>(at, at));
  }
  return blocks;
}

double smallest_eigenvalue(const Eigen::Matrix3d& m) {
  return Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(m).eigenvalues()[0];
}

TEST(PositionSd, IsThatOfTheLooserAxis) {
  const Eigen::Matrix3d covariance = Eigen::Vector3d(0.01, 0.09, 4.0).asDiagonal();
  EXPECT_DOUBLE_EQ(position_sd_m(covariance), 0.3);
}

TEST(Drift, EdgeCovarianceInvertsTheInformationAboveAFloor) {
  Edge edge;
  edge.information = information_of(0.05, 0.03);
  const Eigen::Matrix3d covariance = edge_covariance(edge);
  EXPECT_NEAR(std::sqrt(covariance(0, 0)), 0.05, 0.0002);
  EXPECT_NEAR(std::sqrt(covariance(2, 2)), 0.03, 0.0002);
  edge.information = information_of(1e-6, 1e-6);  // no match is that good
  EXPECT_GE(std::sqrt(edge_covariance(edge)(0, 0)), 0.001);
  EXPECT_GE(std::sqrt(edge_covariance(edge)(2, 2)), 0.001);
  edge.information.setZero();  // a free direction: 100 m, 180 degrees
  EXPECT_NEAR(std::sqrt(edge_covariance(edge)(1, 1)), 100.0, 0.01);
  EXPECT_NEAR(std::sqrt(edge_covariance(edge)(2, 2)), std::numbers::pi, 0.01);
}

TEST(Drift, ChainCovarianceIsPropagatedEdgeByEdge) {
  std::mt19937 random(1);
  const PoseGraph graph = square_chain(25, random);
  const std::vector<Pose2> poses = poses_of(graph);
  const ChainDrift drift(poses, graph.edges);
  for (const std::size_t a : {0U, 3U, 11U}) {
    Eigen::Matrix3d sum = Eigen::Matrix3d::Zero();
    for (std::size_t b = a + 1; b < poses.size(); ++b) {
      const Eigen::Matrix3d carry = adjoint(between(poses[b], poses[b - 1]));
      sum = (carry * sum * carry.transpose()).eval() + edge_covariance(graph.edges[b - 1]);
      EXPECT_LT((drift.between_nodes(a, b) - sum).norm(), 1e-9 * sum.norm()) << a << " to " << b;
    }
  }
  EXPECT_LT(drift.between_nodes(7, 7).norm(), 1e-12);
}

TEST(Drift, ChainCovarianceBackwardsIsTheSameInTheOtherFrame) {
  std::mt19937 random(2);
  const PoseGraph graph = square_chain(12, random);
  const std::vector<Pose2> poses = poses_of(graph);
  const ChainDrift drift(poses, graph.edges);
  const Eigen::Matrix3d carry = adjoint(between(poses[2], poses[9]));
  const Eigen::Matrix3d forth = carry * drift.between_nodes(2, 9) * carry.transpose();
  EXPECT_LT((drift.between_nodes(9, 2) - forth).norm(), 1e-9 * forth.norm());
}

// The covariance along a chain against what really happens: 4,000 chains with random errors of the edges.
TEST(Drift, ChainCovarianceAgreesWithMonteCarlo) {
  std::mt19937 random(3);
  PoseGraph graph = square_chain(10, random);
  for (Edge& edge : graph.edges) edge.information = information_of(0.02, 0.01);
  const std::vector<Pose2> poses = poses_of(graph);
  const Eigen::Matrix3d stated = ChainDrift(poses, graph.edges).between_nodes(0, 9);
  Eigen::Matrix3d seen = Eigen::Matrix3d::Zero();
  constexpr int kTrials = 4000;
  for (int trial = 0; trial < kTrials; ++trial) {
    Pose2 end;
    for (const Edge& edge : graph.edges) end = end * edge.relative * random_error(random, 0.02, 0.01);
    const Tangent2 error = log(between(poses.back(), end));
    seen += error * error.transpose() / kTrials;
  }
  // The floors of 2 mm and 1.5 mrad add 1 % and 2 % of variance; 4,000 trials tell a variance to 2.2 % (one sd).
  for (int i = 0; i < 3; ++i) EXPECT_NEAR(stated(i, i) / seen(i, i), 1.015, 0.08) << i;
}

TEST(Drift, TreeCovariancesAreNeverBelowTheExactMarginals) {
  std::mt19937 random(4);
  PoseGraph graph = square_chain(24, random);
  for (const auto& [from, to] : {std::pair{0U, 20U}, {3U, 22U}, {5U, 12U}, {18U, 8U}}) {
    graph.edges.push_back({EdgeKind::closure, from, to, between(graph.nodes[from].pose, graph.nodes[to].pose),
                           information_of(0.03, 0.02)});
  }
  for (const std::size_t source : {0U, 9U, 23U}) {
    const std::vector<Eigen::Matrix3d> bound = DriftTree(graph).covariances_from(source);
    const std::vector<Eigen::Matrix3d> exact = exact_marginals(graph, source);
    for (std::size_t i = 0; i < graph.nodes.size(); ++i) {
      EXPECT_GE(smallest_eigenvalue(bound[i] - exact[i]), -1e-9) << "node " << i << " from " << source;
    }
    EXPECT_LT(bound[source].norm(), 1e-12);
  }
}

TEST(Drift, TreeEqualsTheChainWhereThereAreNoClosures) {
  std::mt19937 random(5);
  const PoseGraph graph = square_chain(15, random);
  const ChainDrift drift(poses_of(graph), graph.edges);
  for (const std::size_t source : {0U, 6U}) {
    const std::vector<Eigen::Matrix3d> tree = DriftTree(graph).covariances_from(source);
    for (std::size_t i = 0; i < graph.nodes.size(); ++i) {
      const Eigen::Matrix3d chain = drift.between_nodes(source, i);
      EXPECT_LT((tree[i] - chain).norm(), 1e-9 * (1.0 + chain.norm())) << source << " to " << i;
    }
  }
}

TEST(Drift, ClosureShortensTheTree) {
  std::mt19937 random(6);
  PoseGraph graph = square_chain(30, random);
  const double before = DriftTree(graph).covariances_from(0)[29].trace();
  graph.edges.push_back({EdgeKind::closure, 0, 29, graph.nodes[29].pose, information_of(0.005, 0.005)});
  const double after = DriftTree(graph).covariances_from(0)[29].trace();
  EXPECT_LT(after, 0.1 * before);
}

TEST(Drift, UnreachedNodesAreAnywhere) {
  PoseGraph graph;
  graph.nodes.resize(2);
  EXPECT_GE(DriftTree(graph).covariances_from(0)[1](0, 0), 1e6);
}

TEST(Drift, TreePosesFollowTheSurestEdges) {
  PoseGraph graph;
  graph.nodes.resize(4);
  graph.nodes[0].pose = {1.0, 2.0, 0.5};
  const Pose2 step{1.0, 0.1, 0.3};
  const Pose2 there{0.4, 2.0, -1.0};
  graph.edges = {{EdgeKind::match, 0, 1, step, information_of(0.01, 0.01)},
                 {EdgeKind::odometry, 1, 2, step, information_of(5.0, 3.0)},
                 {EdgeKind::match, 2, 3, step, information_of(0.01, 0.01)},
                 {EdgeKind::closure, 0, 3, there, information_of(0.02, 0.02)}};
  const std::vector<Pose2> poses = tree_poses(graph, 0);
  EXPECT_LT(apart_m(poses[1], graph.nodes[0].pose * step), 1e-12);
  EXPECT_LT(apart_m(poses[3], graph.nodes[0].pose * there), 1e-12);
  EXPECT_LT(apart_m(poses[2] * step, poses[3]), 1e-12);  // not over the loose edge
  EXPECT_LT(apart_rad(poses[2] * step, poses[3]), 1e-12);
}

}  // namespace
}  // namespace wainscot
