#include "graph/mapping/restated_edges.hpp"

#include <cmath>
#include <random>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "graph/edge_residuals.hpp"

namespace wainscot {
namespace {

constexpr double kStatedM = 0.01;
constexpr double kStatedRad = 0.002;

Eigen::Matrix3d stated_information() {
  return Eigen::Vector3d(1.0 / (kStatedM * kStatedM), 1.0 / (kStatedM * kStatedM), 1.0 / (kStatedRad * kStatedRad))
      .asDiagonal();
}

/// A drive on a circle; edges that know the truth but for the noise drawn.
PoseGraph circle(EdgeKind kind, std::size_t count, double sd_m, double sd_rad) {
  std::mt19937 random(1);
  std::normal_distribution<double> normal(0.0, 1.0);
  PoseGraph graph;
  for (std::size_t i = 0; i <= count; ++i) {
    const double angle = 0.1 * static_cast<double>(i);
    Node node;
    node.pose = {3.0 * std::cos(angle), 3.0 * std::sin(angle), angle};
    graph.nodes.push_back(node);
    if (i == 0) continue;
    const Tangent2 noise(sd_m * normal(random), sd_m * normal(random), sd_rad * normal(random));
    const Pose2 truth = between(graph.nodes[i - 1].pose, node.pose);
    graph.edges.push_back({kind, i - 1, i, truth * exp(noise), stated_information()});
  }
  return graph;
}

TEST(RestatedEdges, SayWhatTheRefinedMountingWouldHaveSaid) {
  const Pose2 stated{0.10, 0.00, 0.0};
  const Pose2 truly{0.15, -0.04, 0.02};
  PoseGraph graph = circle(EdgeKind::closure, 5, 0.0, 0.0);
  const PoseGraph truth = graph;
  for (Edge& edge : graph.edges) {
    // Scans on scans give the lidar's motion; with the stated mounting that is taken for this one of the robot.
    const Pose2 lidar = inverse(truly) * edge.relative * truly;
    edge.relative = stated * lidar * inverse(stated);
  }
  ASSERT_GT(std::abs(graph.edges[0].relative.x_m - truth.edges[0].relative.x_m), 0.002);
  restate_edges(stated, truly, graph);
  for (std::size_t i = 0; i < graph.edges.size(); ++i) {
    const Tangent2 off = log(between(truth.edges[i].relative, graph.edges[i].relative));
    EXPECT_LT(off.norm(), 1e-12);
  }
}

TEST(RestatedEdges, AreAsUncertainAsTheirResidualsAreLarge) {
  for (const EdgeKind kind : {EdgeKind::match, EdgeKind::closure}) {
    PoseGraph graph = circle(kind, 400, 3.0 * kStatedM, 0.5 * kStatedRad);
    for (std::size_t i = 0; i < 8; ++i) graph.edges[50 * i].relative.x_m += 2.0;  // found wrong
    restate_edges({}, {}, graph);
    const Eigen::Matrix3d covariance = graph.edges[1].information.inverse();
    // Four standard deviations of a standard deviation by 800 and by 400 residuals, and the price of the wrong ones.
    EXPECT_NEAR(std::sqrt(covariance(0, 0)), 3.0 * kStatedM, 0.12 * 3.0 * kStatedM);
    EXPECT_NEAR(std::sqrt(covariance(2, 2)), 0.5 * kStatedRad, 0.15 * 0.5 * kStatedRad);
  }
}

TEST(RestatedEdges, OfOdometryAndOfFewStayAsTheyAre) {
  PoseGraph odometry = circle(EdgeKind::odometry, 40, 5.0 * kStatedM, kStatedRad);
  const Pose2 before = odometry.edges[0].relative;
  restate_edges({}, {0.1, 0.0, 0.0}, odometry);
  EXPECT_EQ(odometry.edges[0].relative.x_m, before.x_m);
  EXPECT_EQ(odometry.edges[0].information, stated_information());
  PoseGraph few = circle(EdgeKind::closure, 9, 5.0 * kStatedM, kStatedRad);
  restate_edges({}, {}, few);
  EXPECT_TRUE(few.edges[0].information.isApprox(stated_information()));
}

}  // namespace
}  // namespace wainscot
