#include "graph/optimiser.hpp"

#include <array>
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
  for (const Edge& edge : graph.edges) {
    ceres::LossFunction* loss = nullptr;
    if (edge.kind == EdgeKind::closure && options.closure_robust_ratio > 0.0) {
      loss = std::make_unique<ceres::CauchyLoss>(options.closure_robust_ratio).release();  // the problem owns it
    }
    problem.AddResidualBlock(std::make_unique<RelativePoseCost>(edge).release(), loss, poses[edge.from].data(),
                             poses[edge.to].data());
  }
  if (problem.HasParameterBlock(poses.front().data())) problem.SetParameterBlockConstant(poses.front().data());

  ceres::Solver::Options solver;
  solver.linear_solver_type = ceres::SPARSE_NORMAL_CHOLESKY;
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
