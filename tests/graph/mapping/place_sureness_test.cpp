#include "graph/mapping/place_sureness.hpp"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "graph/drift.hpp"

namespace wainscot {
namespace {

/// Nodes a metre apart along x, each known from the one before to so much across, as their own covariances say too.
/// Along, and in heading, as well as edges can be known (see edge_covariance).
PoseGraph straight_chain(std::size_t count, double across_sd_m) {
  PoseGraph graph;
  for (std::size_t i = 0; i < count; ++i) {
    Node node;
    node.pose = {static_cast<double>(i), 0.0, 0.0};
    if (i > 0) {
      const Eigen::Vector3d information(1e8, 1.0 / (across_sd_m * across_sd_m), 1e8);
      graph.edges.push_back({EdgeKind::match, i - 1, i, {1.0, 0.0, 0.0}, information.asDiagonal().toDenseMatrix()});
      Eigen::Matrix3d carry = Eigen::Matrix3d::Identity();
      carry(1, 2) = 1.0;
      node.covariance = carry * graph.nodes.back().covariance * carry.transpose() + edge_covariance(graph.edges.back());
    }
    graph.nodes.push_back(node);
  }
  return graph;
}

// A heading that a turn on the first spot leaves open turns the whole map: no wall of it is less right.
TEST(PlaceSureness, WhatTurnsTheWholeMapCountsForNothing) {
  constexpr double kOpenRad = 0.1;
  PoseGraph graph = straight_chain(6, 0.001);
  graph.edges.front().relative.x_m = 0.0;
  graph.edges.front().information(2, 2) = 1.0 / (kOpenRad * kOpenRad);
  for (std::size_t i = 1; i < 6; ++i) {
    graph.nodes[i].pose.x_m -= 1.0;
    const Eigen::Vector3d turned(0.0, kOpenRad * graph.nodes[i].pose.x_m, kOpenRad);
    graph.nodes[i].covariance += turned * turned.transpose();
  }
  EXPECT_GT(std::sqrt(graph.nodes.back().covariance(1, 1)), 0.39);
  for (const double sd_m : place_sds_m(graph, 0.0)) EXPECT_LT(sd_m, 0.02);
}

// Of a random walk of unit steps offset and slope are taken out by least squares: from its covariance, min(i, j), and
// the fit's residual matrix. (Of a long one 2/15 of the variance that it has gathered is left at either end.)
TEST(PlaceSureness, EndsOfAChainAreLessSureThanItsMiddle) {
  const PoseGraph graph = straight_chain(41, 1.0);
  const std::vector<double> sds = place_sds_m(graph, 0.0);
  ASSERT_EQ(sds.size(), 41u);
  EXPECT_NEAR(sds[0], 2.2118, 0.01);
  EXPECT_NEAR(sds[20], 1.8479, 0.01);
  EXPECT_NEAR(sds[40], 2.2118, 0.01);
}

TEST(PlaceSureness, ScaleIsToldApart) {
  PoseGraph graph = straight_chain(11, 0.001);
  const std::vector<double> without = place_sds_m(graph, 0.0);
  for (Node& node : graph.nodes) node.covariance(0, 0) += 0.02 * 0.02 * node.pose.x_m * node.pose.x_m;
  const std::vector<double> with = place_sds_m(graph, 0.02);
  for (std::size_t i = 0; i < without.size(); ++i) EXPECT_NEAR(with[i], without[i], 1e-6) << i;
}

TEST(PlaceSureness, OneNodeOrNoneIsSure) {
  EXPECT_TRUE(place_sds_m({}, 0.01).empty());
  EXPECT_EQ(place_sds_m(straight_chain(1, 0.01), 0.01), std::vector<double>{0.0});
  for (const double sd_m : place_sds_m(straight_chain(2, 0.01), 0.01)) EXPECT_LT(sd_m, 1e-6);
}

TEST(PlaceSureness, NodesBetweenTheSpreadOnesAreInterpolated) {
  const std::vector<double> sds = place_sds_m(straight_chain(1000, 1.0), 0.0);
  ASSERT_EQ(sds.size(), 1000u);
  for (std::size_t i = 1; i < sds.size(); ++i) EXPECT_LT(std::abs(sds[i] - sds[i - 1]), 0.02 * sds[0]);
}

TEST(PlaceSureness, OneNodeThatIsLessSureThanItsNeighboursIsSeenBetweenTheSpreadOnes) {
  PoseGraph graph = straight_chain(1000, 0.01);
  const std::vector<double> before = place_sds_m(graph, 0.0);
  graph.nodes[510].covariance(1, 1) += 0.25;
  const std::vector<double> sds = place_sds_m(graph, 0.0);
  EXPECT_NEAR(sds[510] * sds[510] - before[510] * before[510], 0.25, 0.05);
  EXPECT_DOUBLE_EQ(sds[509], before[509]);
}

TEST(PlaceSureness, AGraphThatSaysNothingLeavesTheNodesOwn) {
  PoseGraph graph = straight_chain(3, 0.02);
  graph.edges.front().relative.x_m = std::numeric_limits<double>::quiet_NaN();
  graph.edges.front().information.setConstant(std::numeric_limits<double>::quiet_NaN());
  EXPECT_NEAR(place_sds_m(graph, 0.0)[1], 0.0202, 0.0002);
}

}  // namespace
}  // namespace wainscot
