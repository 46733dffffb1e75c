#include "graph/mapping/restated_edges.hpp"

#include <cmath>
#include <cstddef>
#include <random>
#include <utility>
#include <vector>

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
  restate_edges(stated, truly, {}, graph);
  for (std::size_t i = 0; i < graph.edges.size(); ++i) {
    const Tangent2 off = log(between(truth.edges[i].relative, graph.edges[i].relative));
    EXPECT_LT(off.norm(), 1e-12);
  }
}

TEST(RestatedEdges, AreAsUncertainAsTheirResidualsAreLarge) {
  for (const EdgeKind kind : {EdgeKind::match, EdgeKind::closure}) {
    PoseGraph graph = circle(kind, 400, 3.0 * kStatedM, 0.5 * kStatedRad);
    for (std::size_t i = 0; i < 8; ++i) graph.edges[50 * i].relative.x_m += 2.0;  // found wrong
    restate_edges({}, {}, {}, graph);
    const Eigen::Matrix3d covariance = graph.edges[1].information.inverse();
    // Four standard deviations of a standard deviation by 800 and by 400 residuals, and the price of the wrong ones.
    EXPECT_NEAR(std::sqrt(covariance(0, 0)), 3.0 * kStatedM, 0.12 * 3.0 * kStatedM);
    EXPECT_NEAR(std::sqrt(covariance(2, 2)), 0.5 * kStatedRad, 0.15 * 0.5 * kStatedRad);
  }
}

// Three matches of each step, and poses adjusted to their mean, whose variance is a third of a match's. Residuals have
// two thirds of it (Gauss and Markov); what is missing is the mean's own.
TEST(RestatedEdges, AreNoSurerForWhatThePosesTookFromThem) {
  constexpr std::size_t kSteps = 400;
  constexpr std::size_t kOfStep = 3;
  PoseGraph graph = circle(EdgeKind::match, kSteps, 0.0, 0.0);
  const std::vector<Edge> truth = std::exchange(graph.edges, {});
  std::mt19937 random(2);
  std::normal_distribution<double> normal(0.0, 1.0);
  std::vector<AdjustedPair> adjusted;
  const Eigen::Matrix3d third = stated_information().inverse() / kOfStep;
  for (std::size_t i = 0; i < kSteps; ++i) {
    Tangent2 mean = Tangent2::Zero();
    for (std::size_t k = 0; k < kOfStep; ++k) {
      const Tangent2 noise(kStatedM * normal(random), kStatedM * normal(random), kStatedRad * normal(random));
      mean += noise / kOfStep;
      graph.edges.push_back({EdgeKind::match, i, i + 1, truth[i].relative * exp(noise), stated_information()});
    }
    graph.nodes[i + 1].pose = graph.nodes[i].pose * truth[i].relative * exp(mean);
    if (i % 40 == 0) adjusted.push_back({kOfStep * i, third});
  }
  PoseGraph by_residuals = graph;
  restate_edges({}, {}, {}, by_residuals);
  restate_edges({}, {}, adjusted, graph);
  const Eigen::Matrix3d smaller = by_residuals.edges[1].information.inverse();
  const Eigen::Matrix3d whole = graph.edges[1].information.inverse();
  // Four standard deviations of a variance by 1,600 and by 800 free residuals.
  EXPECT_NEAR(smaller(0, 0), 2.0 / 3.0 * kStatedM * kStatedM, 0.14 * kStatedM * kStatedM);
  EXPECT_NEAR(whole(0, 0), kStatedM * kStatedM, 0.14 * kStatedM * kStatedM);
  EXPECT_NEAR(whole(2, 2), kStatedRad * kStatedRad, 0.2 * kStatedRad * kStatedRad);
}

TEST(RestatedEdges, LeaveADirectionFreeThatAMatchLeftFree) {
  PoseGraph graph = circle(EdgeKind::match, 40, kStatedM, kStatedRad);
  for (Edge& edge : graph.edges) edge.information(0, 0) = 0.0;
  restate_edges({}, {}, {{3, 1e-4 * Eigen::Matrix3d::Identity()}}, graph);
  EXPECT_NEAR(graph.edges[1].information(0, 0), 0.0, 1e-9);
  EXPECT_GT(graph.edges[1].information(1, 1), 0.0);
}

TEST(RestatedEdges, OfOneKindAreSampledEvenly) {
  PoseGraph graph = circle(EdgeKind::match, 100, 0.0, 0.0);
  for (std::size_t i = 0; i < 100; i += 3) graph.edges[i].kind = EdgeKind::closure;  // 34 of them
  graph.edges.push_back({EdgeKind::odometry, 0, 1, {}, stated_information()});
  const std::vector<std::size_t> sample = sampled_edges(graph);
  EXPECT_EQ(sample,
            (std::vector<std::size_t>{1,  5,  10, 14, 19, 23, 28, 32, 37, 41, 46, 50, 55, 59, 64, 68, 73, 77, 82, 86,
                                      91, 95, 0,  6,  12, 18, 24, 30, 36, 42, 48, 54, 60, 66, 72, 78, 84, 90, 96}));
  EXPECT_TRUE(sampled_edges({}).empty());
}

TEST(RestatedEdges, OfOdometryAndOfFewStayAsTheyAre) {
  PoseGraph odometry = circle(EdgeKind::odometry, 40, 5.0 * kStatedM, kStatedRad);
  const Pose2 before = odometry.edges[0].relative;
  restate_edges({}, {0.1, 0.0, 0.0}, {}, odometry);
  EXPECT_EQ(odometry.edges[0].relative.x_m, before.x_m);
  EXPECT_EQ(odometry.edges[0].information, stated_information());
  const std::vector<AdjustedPair> certain = {{0, Eigen::Matrix3d::Identity()}};
  PoseGraph few = circle(EdgeKind::closure, 9, 5.0 * kStatedM, kStatedRad);
  restate_edges({}, {}, certain, few);
  EXPECT_TRUE(few.edges[0].information.isApprox(stated_information()));
}

}  // namespace
}  // namespace wainscot
