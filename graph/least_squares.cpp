#include "graph/least_squares.hpp"

#include <memory>

#include <ceres/ceres.h>

namespace wainscot {
namespace {

struct Residuals {
  const ResidualFunction& function;
  int unknowns;
  bool operator()(double const* const* blocks, double* values) const {
    const Eigen::VectorXd found = function(Eigen::Map<const Eigen::VectorXd>(blocks[0], unknowns));
    Eigen::Map<Eigen::VectorXd>(values, found.size()) = found;
    return found.allFinite();
  }
};

using Cost = ceres::DynamicNumericDiffCostFunction<Residuals, ceres::CENTRAL>;

std::unique_ptr<Cost> cost_of(const ResidualFunction& residuals, const Eigen::VectorXd& start) {
  const int unknowns = static_cast<int>(start.size());
  ceres::NumericDiffOptions differences;
  differences.relative_step_size = 1e-6;
  auto cost = std::make_unique<Cost>(new Residuals{residuals, unknowns}, ceres::TAKE_OWNERSHIP, differences);
  cost->AddParameterBlock(unknowns);
  cost->SetNumResiduals(static_cast<int>(residuals(start).size()));
  return cost;
}

}  // namespace

LeastSquares evaluate_squares(const ResidualFunction& residuals, const Eigen::VectorXd& unknowns) {
  const std::unique_ptr<Cost> cost = cost_of(residuals, unknowns);
  LeastSquares result;
  result.unknowns = unknowns;
  result.residuals.resize(cost->num_residuals());
  Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor> jacobian(cost->num_residuals(),
                                                                                  unknowns.size());
  const double* block = result.unknowns.data();
  double* jacobians[] = {jacobian.data()};
  result.usable = cost->Evaluate(&block, result.residuals.data(), jacobians);
  result.usable = result.usable && result.residuals.allFinite() && jacobian.allFinite();
  if (!result.usable) {
    result.residuals = residuals(unknowns);
    jacobian.setZero();
  }
  result.jacobian = jacobian;
  return result;
}

LeastSquares minimise_squares(const ResidualFunction& residuals, const Eigen::VectorXd& start) {
  Eigen::VectorXd unknowns = start;
  ceres::Problem problem;
  problem.AddResidualBlock(cost_of(residuals, start).release(), nullptr, unknowns.data());
  ceres::Solver::Options options;
  options.linear_solver_type = ceres::DENSE_QR;
  options.logging_type = ceres::SILENT;
  options.num_threads = 1;  // for the same bytes
  options.max_num_iterations = 100;
  options.function_tolerance = 1e-12;
  options.parameter_tolerance = 1e-10;
  ceres::Solver::Summary summary;
  ceres::Solve(options, &problem, &summary);
  const bool usable = summary.IsSolutionUsable();
  LeastSquares result = evaluate_squares(residuals, usable ? unknowns : start);
  result.usable = result.usable && usable;
  return result;
}

}  // namespace wainscot
