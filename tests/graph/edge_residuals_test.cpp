#include "graph/edge_residuals.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(EdgeResiduals, AreZeroWhereTheGraphAgrees) {
  PoseGraph graph;
  graph.nodes.resize(2);
  graph.nodes[0].pose = {1.0, 2.0, 0.5};
  Edge edge;
  edge.from = 0;
  edge.to = 1;
  edge.relative = {0.3, -0.1, 0.2};
  edge.information = Eigen::Matrix3d::Identity();
  // Headings are known up to whole turns.
  graph.nodes[1].pose = graph.nodes[0].pose * Pose2{0.3, -0.1, 0.2 + 2.0 * std::numbers::pi};
  graph.edges = {edge};
  const EdgeResidual residual = edge_residuals(graph).at(0);
  EXPECT_NEAR(residual.error.norm(), 0.0, 1e-12);
  EXPECT_NEAR(residual.chi_squared, 0.0, 1e-20);
}

TEST(EdgeResiduals, StandInTheLaterNodesFrame) {
  PoseGraph graph;
  graph.nodes.resize(2);
  graph.nodes[1].pose = {1.0, 0.02, std::numbers::pi / 2.0};
  Edge edge;
  edge.to = 1;
  edge.relative = {1.0, 0.0, std::numbers::pi / 2.0};
  edge.information.diagonal() << 100.0, 400.0, 1.0;
  graph.edges = {edge};
  const EdgeResidual residual = edge_residuals(graph).at(0);
  EXPECT_NEAR(residual.error.x(), 0.02, 1e-12);
  EXPECT_NEAR(residual.error.y(), 0.0, 1e-12);
  EXPECT_NEAR(residual.chi_squared, 100.0 * 0.02 * 0.02, 1e-12);
}

}  // namespace
}  // namespace wainscot
