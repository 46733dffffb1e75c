#include "graph/edge_residuals.hpp"

namespace wainscot {

std::vector<EdgeResidual> edge_residuals(const PoseGraph& graph) {
  std::vector<EdgeResidual> residuals;
  residuals.reserve(graph.edges.size());
  for (const Edge& edge : graph.edges) {
    EdgeResidual residual;
    residual.error = log(between(edge.relative, between(graph.nodes.at(edge.from).pose, graph.nodes.at(edge.to).pose)));
    residual.chi_squared = residual.error.dot(edge.information * residual.error);
    residuals.push_back(residual);
  }
  return residuals;
}

}  // namespace wainscot
