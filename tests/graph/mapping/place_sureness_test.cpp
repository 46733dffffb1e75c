#include "graph/mapping/place_sureness.hpp"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>
#include <Eigen/Dense>

namespace wainscot {
namespace {

/// Nodes a metre apart along x, each known from the one before along, across and in heading as stated, the sums as
/// their own covariances (headings: of small turns).
PoseGraph straight_chain(std::size_t count, double along_sd_m, double across_sd_m, double heading_sd_rad) {
  PoseGraph graph;
  const Eigen::Vector3d variances = Eigen::Vector3d(along_sd_m, across_sd_m, heading_sd_rad).array().square().matrix();
  for (std::size_t i = 0; i < count; ++i) {
    Node node;
    node.pose = {static_cast<double>(i), 0.0, 0.0};
    if (i > 0) {
      Eigen::Matrix3d carry = Eigen::Matrix3d::Identity();
      carry(1, 2) = 1.0;
      node.covariance = carry * graph.nodes.back().covariance * carry.transpose();
      node.covariance.diagonal() += variances;
      graph.edges.push_back(
          {EdgeKind::match, i - 1, i, {1.0, 0.0, 0.0}, variances.cwiseInverse().asDiagonal().toDenseMatrix()});
    }
    graph.nodes.push_back(node);
  }
  return graph;
}

// A heading that only the first step leaves open turns the whole map: no wall of it is less right.
TEST(PlaceSureness, WhatTurnsTheWholeMapCountsForNothing) {
  PoseGraph graph = straight_chain(21, 0.001, 0.001, 1e-5);
  graph.edges.front().information(2, 2) = 1.0 / (0.01 * 0.01);
  for (std::size_t i = 1; i < 21; ++i) {
    const double x_m = graph.nodes[i].pose.x_m - 1.0;
    const Eigen::Vector3d turned(0.0, 0.01 * x_m, 0.01);
    graph.nodes[i].covariance += turned * turned.transpose();
  }
  EXPECT_GT(std::sqrt(graph.nodes.back().covariance(1, 1)), 0.18);
  for (const double sd_m : place_sds_m(graph, 0.0)) EXPECT_LT(sd_m, 0.012);
}

// As a random walk's fit leaves it: the middle is known better than the ends, and all better than the last is from the
// first.
TEST(PlaceSureness, EndsOfAChainAreLessSureThanItsMiddle) {
  const PoseGraph graph = straight_chain(41, 1e-5, 0.01, 1e-6);
  const std::vector<double> sds = place_sds_m(graph, 0.0);
  ASSERT_EQ(sds.size(), 41u);
  EXPECT_LT(sds[20], sds[0]);
  EXPECT_NEAR(sds[0], sds[40], 0.002);
  EXPECT_LT(sds[40], 0.5 * std::sqrt(graph.nodes[40].covariance(1, 1)));
  // Of 40 steps of 10 mm, a straight line fitted to the walk: at an end sqrt(2 / 15 * 40) of them (integrating the
  // Brownian motion's covariance against the line's weights).
  EXPECT_NEAR(sds[40], 0.01 * std::sqrt(2.0 / 15.0 * 40.0), 0.002);
}

TEST(PlaceSureness, ScaleIsToldApart) {
  PoseGraph graph = straight_chain(11, 0.001, 0.001, 1e-5);
  const std::vector<double> without = place_sds_m(graph, 0.0);
  for (Node& node : graph.nodes) node.covariance(0, 0) += 0.02 * 0.02 * node.pose.x_m * node.pose.x_m;
  const std::vector<double> with = place_sds_m(graph, 0.02);
  for (std::size_t i = 0; i < without.size(); ++i) EXPECT_NEAR(with[i], without[i], 1e-6) << i;
}

TEST(PlaceSureness, OneNodeOrNoneIsSure) {
  EXPECT_TRUE(place_sds_m({}, 0.01).empty());
  EXPECT_EQ(place_sds_m(straight_chain(1, 0.01, 0.01, 0.01), 0.01), std::vector<double>{0.0});
  for (const double sd_m : place_sds_m(straight_chain(2, 0.01, 0.01, 0.01), 0.01)) EXPECT_LT(sd_m, 1e-6);
}

TEST(PlaceSureness, NodesBetweenTheSpreadOnesAreInterpolated) {
  const std::vector<double> sds = place_sds_m(straight_chain(1000, 1e-5, 0.001, 1e-7), 0.0);
  ASSERT_EQ(sds.size(), 1000u);
  for (std::size_t i = 1; i < sds.size(); ++i) EXPECT_LT(std::abs(sds[i] - sds[i - 1]), 0.001);
}

TEST(PlaceSureness, AGraphThatSaysNothingLeavesTheNodesOwn) {
  PoseGraph graph = straight_chain(3, 0.01, 0.02, 0.001);
  graph.edges.front().relative.x_m = std::numeric_limits<double>::quiet_NaN();
  graph.edges.front().information.setConstant(std::numeric_limits<double>::quiet_NaN());
  EXPECT_NEAR(place_sds_m(graph, 0.0)[1], std::hypot(0.01, 0.02), 1e-9);
}

}  // namespace
}  // namespace wainscot
