#include "graph/node_covariance.hpp"

#include <stdexcept>
#include <vector>

#include <Eigen/Dense>
#include <Eigen/SparseCholesky>

#include "graph/drift.hpp"

namespace wainscot {
namespace {

using Sparse = Eigen::SparseMatrix<double>;

Eigen::Index row_of(std::size_t node) { return 3 * static_cast<Eigen::Index>(node); }

void add_block(std::vector<Eigen::Triplet<double>>& entries, std::size_t row, std::size_t column,
               const Eigen::Matrix3d& block) {
  for (int r = 0; r < 3; ++r) {
    for (int c = 0; c < 3; ++c) {
      entries.emplace_back(static_cast<int>(row_of(row)) + r, static_cast<int>(row_of(column)) + c, block(r, c));
    }
  }
}

Sparse information_of(const PoseGraph& graph) {
  constexpr double kFirst = 1e12;  // node 0 is where the map's frame is: a micrometre
  constexpr double kLoose = 1e-6;  // a node that no edge holds: a kilometre
  std::vector<Eigen::Triplet<double>> entries;
  for (std::size_t i = 0; i < graph.nodes.size(); ++i) {
    add_block(entries, i, i, (i == 0 ? kFirst : kLoose) * Eigen::Matrix3d::Identity());
  }
  for (const Edge& edge : graph.edges) {
    // residual = error of `to` - error of `from` as `to` feels it
    const Eigen::Matrix3d information = edge_covariance(edge).inverse();
    const Eigen::Matrix3d by_from = -adjoint(inverse(between(graph.nodes[edge.from].pose, graph.nodes[edge.to].pose)));
    add_block(entries, edge.to, edge.to, information);
    add_block(entries, edge.from, edge.from, by_from.transpose() * information * by_from);
    add_block(entries, edge.to, edge.from, information * by_from);
    add_block(entries, edge.from, edge.to, by_from.transpose() * information);
  }
  const auto size = row_of(graph.nodes.size());
  Sparse matrix(size, size);
  matrix.setFromTriplets(entries.begin(), entries.end());
  return matrix;
}

/// A square root of a covariance that may be singular.
Eigen::Matrix3d root_of(const Eigen::Matrix3d& covariance) {
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> solver(covariance);
  return solver.eigenvectors() * solver.eigenvalues().cwiseMax(0.0).cwiseSqrt().asDiagonal() *
         solver.eigenvectors().transpose();
}

}  // namespace

struct NodeCovariance::Factor {
  Eigen::SimplicialLDLT<Sparse> solver;
};

NodeCovariance::NodeCovariance(const PoseGraph& graph) : graph_(graph), factor_(std::make_unique<Factor>()) {
  factor_->solver.compute(information_of(graph));
  // A value that is not finite passes for a factor there.
  if (factor_->solver.info() != Eigen::Success || !factor_->solver.vectorD().allFinite()) {
    throw std::runtime_error("the graph's information is not definite");
  }
}

NodeCovariance::~NodeCovariance() = default;

Eigen::MatrixXd NodeCovariance::of(std::span<const std::size_t> nodes) const {
  const auto size = row_of(nodes.size());
  Eigen::MatrixXd unit = Eigen::MatrixXd::Zero(row_of(graph_.nodes.size()), size);
  for (std::size_t i = 0; i < nodes.size(); ++i) unit.block<3, 3>(row_of(nodes[i]), row_of(i)).setIdentity();
  const Eigen::MatrixXd columns = factor_->solver.solve(unit);
  Eigen::MatrixXd covariance(size, size);
  for (std::size_t i = 0; i < nodes.size(); ++i) {
    covariance.middleRows<3>(row_of(i)) = columns.middleRows<3>(row_of(nodes[i]));
  }
  Eigen::MatrixXd sized = Eigen::MatrixXd::Zero(size, size);
  for (std::size_t i = 0; i < nodes.size(); ++i) {
    const Eigen::Matrix3d own = covariance.block<3, 3>(row_of(i), row_of(i));
    sized.block<3, 3>(row_of(i), row_of(i)) = root_of(graph_.nodes[nodes[i]].covariance) * root_of(own).inverse();
  }
  covariance = sized * covariance * sized.transpose();
  return 0.5 * (covariance + covariance.transpose());
}

}  // namespace wainscot
