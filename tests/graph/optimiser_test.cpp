#include "graph/optimiser.hpp"

#include <cmath>
#include <cstddef>
#include <limits>
#include <numbers>
#include <random>
#include <vector>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

/// Half of the sum of squared whitened residuals, straight from the definition in graph/pose_graph.hpp.
double cost_of(const PoseGraph& graph) {
  double cost = 0.0;
  for (const Edge& edge : graph.edges) {
    Pose2 error = between(edge.relative, between(graph.nodes[edge.from].pose, graph.nodes[edge.to].pose));
    error.heading_rad = wrap_angle(error.heading_rad);
    const Tangent2 residual = log(error);
    cost += 0.5 * residual.dot(edge.information * residual);
  }
  return cost;
}

double& coordinate(Pose2& pose, int which) { return which == 0 ? pose.x_m : which == 1 ? pose.y_m : pose.heading_rad; }

/// A full information matrix with eigenvalues between about 10 and 1000.
Eigen::Matrix3d random_information(std::mt19937& random) {
  std::normal_distribution<double> normal;
  Eigen::Matrix3d root;
  for (int i = 0; i < 9; ++i) root(i / 3, i % 3) = 12.0 * normal(random);
  return root * root.transpose() + 10.0 * Eigen::Matrix3d::Identity();
}

PoseGraph graph_with(std::vector<Pose2> poses) {
  PoseGraph graph;
  for (const Pose2& pose : poses) {
    graph.nodes.emplace_back();
    graph.nodes.back().pose = pose;
  }
  return graph;
}

/// Edges between all pairs of `count` poses that contradict one another a little.
PoseGraph contradictory_graph(std::mt19937& random, std::size_t count) {
  std::uniform_real_distribution<double> place(-3.0, 3.0);
  std::vector<Pose2> poses;
  for (std::size_t i = 0; i < count; ++i) {
    const double x = place(random);
    const double y = place(random);
    poses.push_back({x, y, place(random)});
  }
  PoseGraph graph = graph_with(poses);
  for (std::size_t i = 0; i < count; ++i) {
    for (std::size_t j = i + 1; j < count; ++j) {
      const Pose2 relative = between(poses[i], poses[j]) * random_error(random, 0.3, 0.2);
      graph.edges.push_back({EdgeKind::match, i, j, relative, random_information(random)});
    }
  }
  return graph;
}

OptimiserOptions exact() {
  OptimiserOptions options;
  options.closure_robust_ratio = 0.0;
  options.function_tolerance = 1e-16;
  options.max_iterations = 200;
  return options;
}

// The steps of the optimiser end where J^T r = 0 with its analytic J. Since the residuals r of such a graph do not
// vanish, that is the point where the numerical gradient vanishes only if J is right for both of the edge's nodes.
TEST(Optimiser, AnalyticJacobiansAgreeWithTheNumericalGradientAtTheOptimum) {
  std::mt19937 random(1);
  for (int trial = 0; trial < 20; ++trial) {
    PoseGraph graph = contradictory_graph(random, 4);
    optimise(graph, exact());
    ASSERT_GT(cost_of(graph), 1.0) << "the residuals vanish, so the test would say nothing";
    for (std::size_t node = 1; node < graph.nodes.size(); ++node) {
      for (int which = 0; which < 3; ++which) {
        constexpr double kStep = 1e-5;
        double& value = coordinate(graph.nodes[node].pose, which);
        const double found = value;
        value = found + kStep;
        const double above = cost_of(graph);
        value = found - kStep;
        const double below = cost_of(graph);
        value = found;
        const double gradient = (above - below) / (2.0 * kStep);
        const double curvature = (above + below - 2.0 * cost_of(graph)) / (kStep * kStep);
        // How far the optimum of this coordinate lies from where the optimiser stopped.
        EXPECT_LT(std::abs(gradient / curvature), 2e-6) << "trial " << trial << " node " << node << " " << which;
      }
    }
  }
}

TEST(Optimiser, ReportsTheCostOfTheDefinition) {
  std::mt19937 random(2);
  PoseGraph graph = contradictory_graph(random, 6);
  const double before = cost_of(graph);
  const OptimiserSummary summary = optimise(graph, exact());
  ASSERT_GE(summary.cost_by_iteration.size(), 2U);
  EXPECT_NEAR(summary.cost_by_iteration.front(), before, 1e-9 * before);
  EXPECT_NEAR(summary.cost_by_iteration.back(), cost_of(graph), 1e-9 * before);
  EXPECT_LT(summary.cost_by_iteration.back(), before);
}

TEST(Optimiser, LoopWithoutNoiseReturnsToZeroCost) {
  // A square of 40 nodes, closed; the heading winds once around, so that the closure is off by a whole turn.
  std::vector<Pose2> truth{{1.0, 2.0, 0.5}};
  for (int i = 1; i < 40; ++i) truth.push_back(truth.back() * exp({0.5, 0.0, i % 10 == 0 ? std::numbers::pi / 2 : 0}));
  PoseGraph graph = graph_with(truth);
  for (std::size_t i = 0; i < truth.size(); ++i) {
    const std::size_t next = (i + 1) % truth.size();
    graph.edges.push_back({next == 0 ? EdgeKind::closure : EdgeKind::match, i, next, between(truth[i], truth[next]),
                           information_of(0.01, 0.01)});
  }
  std::mt19937 random(3);
  for (std::size_t i = 1; i < truth.size(); ++i) {
    graph.nodes[i].pose = graph.nodes[i].pose * random_error(random, 0.2, 0.1);
  }
  ASSERT_GT(cost_of(graph), 1000.0);
  const OptimiserSummary summary = optimise(graph, exact());
  EXPECT_LT(summary.cost_by_iteration.back(), 1e-12);
  for (std::size_t i = 0; i < truth.size(); ++i) {
    EXPECT_LT(apart_m(graph.nodes[i].pose, truth[i]), 1e-7) << i;
    EXPECT_LT(apart_rad(graph.nodes[i].pose, truth[i]), 1e-7) << i;
  }
  // Gauss-Newton with exact Jacobians gains digits quadratically; this graph took 6 steps when the test was written.
  EXPECT_LE(summary.cost_by_iteration.size(), 12U);
}

// Three nodes on a line, headings 0: two steps of 1 m with standard deviations 0.1 m and 0.2 m, and one measure of
// 2.3 m with 0.1 m over both. By hand: minimise (a-1)^2/0.01 + (b-1)^2/0.04 + (a+b-2.3)^2/0.01. The misclosure of 0.3 m
// is shared in proportion to the variances 1 : 4 : 1, so a = 1.05, b = 1.2, and the cost is 0.5 * 0.3^2 / 0.06 = 0.75.
TEST(Optimiser, SolvesAGraphComputedByHand) {
  PoseGraph graph = graph_with({{}, {0.7, 0.0, 0.0}, {2.5, 0.0, 0.0}});
  graph.edges.push_back({EdgeKind::odometry, 0, 1, {1.0, 0.0, 0.0}, information_of(0.1, 0.1)});
  graph.edges.push_back({EdgeKind::odometry, 1, 2, {1.0, 0.0, 0.0}, information_of(0.2, 0.1)});
  graph.edges.push_back({EdgeKind::match, 0, 2, {2.3, 0.0, 0.0}, information_of(0.1, 0.1)});
  const OptimiserSummary summary = optimise(graph, exact());
  EXPECT_NEAR(graph.nodes[1].pose.x_m, 1.05, 1e-9);
  EXPECT_NEAR(graph.nodes[2].pose.x_m, 2.25, 1e-9);
  EXPECT_NEAR(graph.nodes[1].pose.y_m, 0.0, 1e-9);
  EXPECT_NEAR(graph.nodes[2].pose.heading_rad, 0.0, 1e-9);
  EXPECT_NEAR(summary.cost_by_iteration.back(), 0.75, 1e-9);
}

TEST(Optimiser, LossHoldsAWrongClosureBack) {
  const auto line_with_closure = [](EdgeKind kind) {
    PoseGraph graph = graph_with({{}, {1.0, 0.0, 0.0}, {2.0, 0.0, 0.0}});
    graph.edges.push_back({EdgeKind::odometry, 0, 1, {1.0, 0.0, 0.0}, information_of(0.05, 0.05)});
    graph.edges.push_back({EdgeKind::odometry, 1, 2, {1.0, 0.0, 0.0}, information_of(0.05, 0.05)});
    graph.edges.push_back({kind, 0, 2, {3.0, 0.0, 0.0}, information_of(0.05, 0.05)});
    optimise(graph);
    return graph.nodes[2].pose.x_m;
  };
  EXPECT_NEAR(line_with_closure(EdgeKind::match), 2.0 + 2.0 / 3.0, 1e-4);  // plain least squares: 2/3 of the way
  EXPECT_LT(line_with_closure(EdgeKind::closure), 2.2);
}

TEST(Optimiser, DirectionWithoutInformationStaysFree) {
  PoseGraph graph = graph_with({{}, {1.0, 0.0, 0.0}});
  Eigen::Matrix3d corridor = information_of(0.01, 0.01);
  corridor(0, 0) = 0.0;  // nothing is known along the corridor
  graph.edges.push_back({EdgeKind::match, 0, 1, {5.0, 0.2, 0.1}, corridor});
  graph.edges.push_back({EdgeKind::odometry, 0, 1, {1.3, 0.0, 0.0}, information_of(1.0, 1.0)});
  optimise(graph, exact());
  const Pose2 found = graph.nodes[1].pose;
  EXPECT_NEAR(found.heading_rad, 0.1, 1e-3);
  // Across the corridor the match rules, along it odometry: both in the frame of node 1, turned by 0.1.
  const Tangent2 from_match = log(between(Pose2{5.0, 0.2, 0.1}, found));
  EXPECT_NEAR(from_match.y(), 0.0, 1e-3);
  EXPECT_NEAR(found.x_m, 1.3, 0.05);
}

TEST(Optimiser, LeavesTheFirstNodeAndUnreachedNodesAlone) {
  std::mt19937 random(4);
  PoseGraph graph = contradictory_graph(random, 3);
  graph.nodes.emplace_back();
  graph.nodes.back().pose = {7.0, 8.0, 9.0};
  const Pose2 first = graph.nodes[0].pose;
  optimise(graph, exact());
  EXPECT_EQ(graph.nodes[0].pose.x_m, first.x_m);
  EXPECT_EQ(graph.nodes[0].pose.heading_rad, first.heading_rad);
  EXPECT_EQ(graph.nodes[3].pose.x_m, 7.0);
  EXPECT_EQ(graph.nodes[3].pose.heading_rad, 9.0);

  PoseGraph lonely = graph_with({{1.0, 2.0, 3.0}});
  EXPECT_TRUE(optimise(lonely).cost_by_iteration.empty());
  EXPECT_EQ(lonely.nodes[0].pose.x_m, 1.0);
}

TEST(Optimiser, SameGraphGivesTheSameBytes) {
  std::mt19937 random(5);
  const PoseGraph start = contradictory_graph(random, 12);
  PoseGraph a = start;
  PoseGraph b = start;
  optimise(a);
  optimise(b);
  for (std::size_t i = 0; i < a.nodes.size(); ++i) {
    EXPECT_EQ(a.nodes[i].pose.x_m, b.nodes[i].pose.x_m);
    EXPECT_EQ(a.nodes[i].pose.y_m, b.nodes[i].pose.y_m);
    EXPECT_EQ(a.nodes[i].pose.heading_rad, b.nodes[i].pose.heading_rad);
  }
}

TEST(Optimiser, AGraphThatCannotBeEvaluatedStaysAsItWas) {
  std::mt19937 random(13);
  const PoseGraph start = contradictory_graph(random, 6);
  PoseGraph sound = start;
  EXPECT_TRUE(optimise(sound).usable);
  PoseGraph poisoned = start;
  poisoned.edges[4].relative.x_m = std::numeric_limits<double>::quiet_NaN();
  EXPECT_FALSE(optimise(poisoned).usable);
  for (std::size_t i = 0; i < start.nodes.size(); ++i) {
    EXPECT_EQ(poisoned.nodes[i].pose.x_m, start.nodes[i].pose.x_m);
    EXPECT_EQ(poisoned.nodes[i].pose.y_m, start.nodes[i].pose.y_m);
    EXPECT_EQ(poisoned.nodes[i].pose.heading_rad, start.nodes[i].pose.heading_rad);
  }
}

TEST(Optimiser, KeepsThePosesOfEachIterationWhereAsked) {
  std::mt19937 random(11);
  const PoseGraph begun = contradictory_graph(random, 6);
  PoseGraph graph = begun;
  PoseGraph plain = begun;
  OptimiserOptions keeping;
  keeping.keep_poses = true;
  const OptimiserSummary summary = optimise(graph, keeping);
  EXPECT_TRUE(optimise(plain).poses_by_iteration.empty());
  ASSERT_EQ(summary.poses_by_iteration.size(), summary.cost_by_iteration.size());
  for (std::size_t i = 0; i < summary.poses_by_iteration.size(); ++i) {
    PoseGraph then = begun;
    for (std::size_t n = 0; n < then.nodes.size(); ++n) then.nodes[n].pose = summary.poses_by_iteration[i][n];
    EXPECT_NEAR(cost_of(then), summary.cost_by_iteration[i], 1e-6 * summary.cost_by_iteration.front());
  }
  for (std::size_t n = 0; n < graph.nodes.size(); ++n) {
    EXPECT_EQ(apart_m(graph.nodes[n].pose, summary.poses_by_iteration.back()[n]), 0.0);
    EXPECT_EQ(apart_m(graph.nodes[n].pose, plain.nodes[n].pose), 0.0) << "watching changes nothing";
  }
}

// Nodes on a line that is nowhere given: odometry bends the way, the line makes it straight.
TEST(Optimiser, NodesOnALineAreDrawnToOne) {
  PoseGraph graph = graph_with({{0.0, 0.0, 0.0}});
  for (std::size_t i = 1; i <= 10; ++i) {
    graph.nodes.emplace_back();
    Edge edge;
    edge.from = i - 1;
    edge.to = i;
    edge.relative = {0.3, 0.0, 0.02};
    edge.information = Eigen::Vector3d(1e4, 1e4, 1e3).asDiagonal();
    graph.nodes[i].pose = graph.nodes[i - 1].pose * edge.relative;
    graph.edges.push_back(edge);
  }
  const auto bend_m = [](const PoseGraph& g) {
    const Eigen::Vector2d way = g.nodes.back().pose.translation() - g.nodes.front().pose.translation();
    const Eigen::Vector2d half = g.nodes[5].pose.translation() - g.nodes.front().pose.translation();
    return std::abs(way.x() * half.y() - way.y() * half.x()) / way.norm();
  };
  PoseGraph on_line = graph;
  NodesOnLine line{{1.0, 0.1}, 0.05, {}, {}};
  for (std::size_t i = 0; i <= 10; ++i) {
    line.nodes.push_back(i);
    line.information_per_m2.push_back(1e6);
  }
  on_line.lines = {line};
  ASSERT_TRUE(optimise(graph).usable);
  ASSERT_TRUE(optimise(on_line).usable);
  EXPECT_GT(bend_m(graph), 0.03);
  EXPECT_LT(bend_m(on_line), 0.002);
  EXPECT_EQ(on_line.nodes[0].pose.x_m, 0.0);
}

}  // namespace
}  // namespace wainscot
