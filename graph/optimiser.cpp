#include "graph/optimiser.hpp"

#include <array>
#include <cmath>
#include <memory>

#include <ceres/ceres.h>
#include <Eigen/Dense>

namespace wainscot {
namespace {

using Matrix3RowMajor = Eigen::Matrix<double, 3, 3, Eigen::RowMajor>;

/// residual = W log(relative^-1 from^-1 to) with W^T W = information.
class RelativePoseCost : public ceres::SizedCostFunction<3, 3, 3> {
 public:
  explicit RelativePoseCost(const Edge& edge) : relative_(edge.relative) {
    // A symmetric square root by eigenvalues also serves matrices that leave a direction free.
    const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> solver(edge.information);
    const Eigen::Vector3d roots = solver.eigenvalues().cwiseMax(0.0).cwiseSqrt();
    weight_ = roots.asDiagonal() * solver.eigenvectors().transpose();
  }

  bool Evaluate(double const* const* parameters, double* residuals, double** jacobians) const override {
    const Pose2 from{parameters[0][0], parameters[0][1], parameters[0][2]};
    const Pose2 to{parameters[1][0], parameters[1][1], parameters[1][2]};
    const Pose2 actual = between(from, to);
    Pose2 error = between(relative_, actual);
    error.heading_rad = wrap_angle(error.heading_rad);
    const Tangent2 tangent = log(error);
    Eigen::Map<Eigen::Vector3d> whitened(residuals);
    whitened = weight_ * tangent;
    if (jacobians == nullptr) return true;
    const Eigen::Matrix3d by_to = weight_ * right_jacobian_inverse(tangent);
    // The parameters are added in the map frame; the tangent is in each node's own frame.
    if (jacobians[0] != nullptr) {
      Eigen::Matrix3d by_from = -by_to * adjoint(inverse(actual));
      by_from.leftCols<2>() *= from.rotation().transpose();
      Eigen::Map<Matrix3RowMajor> first(jacobians[0]);
      first = by_from;
    }
    if (jacobians[1] != nullptr) {
      Eigen::Matrix3d own = by_to;
      own.leftCols<2>() *= to.rotation().transpose();
      Eigen::Map<Matrix3RowMajor> second(jacobians[1]);
      second = own;
    }
    return true;
  }

 private:
  Pose2 relative_;
  Eigen::Matrix3d weight_;
};

/// residual = (distance of a node from a line) / its standard deviation. The line's parameters are its direction's
/// difference from `direction_rad` and its distance from `anchor`, to the left.
class OnLineCost : public ceres::SizedCostFunction<1, 3, 2> {
 public:
  OnLineCost(const NodesOnLine& line, double information)
      : anchor_(line.anchor), direction_rad_(line.direction_rad), weight_(std::sqrt(information)) {}

  bool Evaluate(double const* const* parameters, double* residuals, double** jacobians) const override {
    const double direction = direction_rad_ + parameters[1][0];
    const Eigen::Vector2d along(std::cos(direction), std::sin(direction));
    const Eigen::Vector2d normal(-along.y(), along.x());
    const Eigen::Vector2d away = Eigen::Vector2d(parameters[0][0], parameters[0][1]) - anchor_;
    residuals[0] = weight_ * (normal.dot(away) - parameters[1][1]);
    if (jacobians == nullptr) return true;
    if (jacobians[0] != nullptr) {
      Eigen::Map<Eigen::RowVector3d> by_node(jacobians[0]);
      by_node = weight_ * Eigen::RowVector3d(normal.x(), normal.y(), 0.0);
    }
    if (jacobians[1] != nullptr) {
      Eigen::Map<Eigen::RowVector2d> by_line(jacobians[1]);
      by_line = weight_ * Eigen::RowVector2d(-along.dot(away), -1.0);
    }
    return true;
  }

 private:
  Eigen::Vector2d anchor_;
  double direction_rad_;
  double weight_;
};

using Parameters = std::vector<std::array<double, 3>>;

std::vector<Pose2> poses_of(const Parameters& parameters) {
  std::vector<Pose2> poses;
  poses.reserve(parameters.size());
  for (const auto& [x_m, y_m, heading_rad] : parameters) poses.push_back({x_m, y_m, heading_rad});
  return poses;
}

/// Keeps where the nodes are after each iteration.
class PoseKeeper : public ceres::IterationCallback {
 public:
  PoseKeeper(const Parameters& parameters, std::vector<std::vector<Pose2>>& kept)
      : parameters_(parameters), kept_(kept) {}

  ceres::CallbackReturnType operator()(const ceres::IterationSummary& /*summary*/) override {
    kept_.push_back(poses_of(parameters_));
    return ceres::SOLVER_CONTINUE;
  }

 private:
  const Parameters& parameters_;
  std::vector<std::vector<Pose2>>& kept_;
};

}  // namespace

OptimiserSummary optimise(PoseGraph& graph, const OptimiserOptions& options) {
  OptimiserSummary result;
  if (graph.edges.empty()) return result;
  Parameters poses;
  poses.reserve(graph.nodes.size());
  for (const Node& node : graph.nodes) poses.push_back({node.pose.x_m, node.pose.y_m, node.pose.heading_rad});

  ceres::Problem problem;
  const auto loss = [&options]() -> ceres::LossFunction* {
    if (options.closure_robust_ratio <= 0.0) return nullptr;
    return std::make_unique<ceres::CauchyLoss>(options.closure_robust_ratio).release();  // the problem owns it
  };
  for (const Edge& edge : graph.edges) {
    problem.AddResidualBlock(std::make_unique<RelativePoseCost>(edge).release(),
                             edge.kind == EdgeKind::closure ? loss() : nullptr, poses[edge.from].data(),
                             poses[edge.to].data());
  }
  std::vector<std::array<double, 2>> lines(graph.lines.size(), {0.0, 0.0});
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const NodesOnLine& line = graph.lines[i];
    for (std::size_t k = 0; k < line.nodes.size(); ++k) {
      problem.AddResidualBlock(std::make_unique<OnLineCost>(line, line.information_per_m2[k]).release(), loss(),
                               poses[line.nodes[k]].data(), lines[i].data());
    }
  }
  if (problem.HasParameterBlock(poses.front().data())) problem.SetParameterBlockConstant(poses.front().data());

  ceres::Solver::Options solver;
  solver.linear_solver_type = ceres::SPARSE_NORMAL_CHOLESKY;
  // CHOLMOD gathers columns into dense blocks and hands them to a BLAS with threads of its own, which does not pay for
  // chains of poses: their factors are nearly empty.
  solver.sparse_linear_algebra_library_type = ceres::EIGEN_SPARSE;
  solver.num_threads = 1;
  solver.max_num_iterations = options.max_iterations;
  solver.function_tolerance = options.function_tolerance;
  solver.logging_type = ceres::SILENT;
  PoseKeeper keeper(poses, result.poses_by_iteration);
  if (options.keep_poses) {
    solver.update_state_every_iteration = true;
    solver.callbacks.push_back(&keeper);
  }
  ceres::Solver::Summary summary;
  ceres::Solve(solver, &problem, &summary);
  result.usable = summary.IsSolutionUsable();
  for (const ceres::IterationSummary& iteration : summary.iterations) {
    result.cost_by_iteration.push_back(iteration.cost);
  }
  if (!result.usable) return result;
  const std::vector<Pose2> found = poses_of(poses);
  for (std::size_t i = 0; i < found.size(); ++i) graph.nodes[i].pose = found[i];
  return result;
}

}  // namespace wainscot
