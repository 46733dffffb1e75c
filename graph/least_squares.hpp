#pragma once

// Small nonlinear least squares: a handful of unknowns, a function that gives the residuals.

#include <functional>

#include <Eigen/Core>

namespace wainscot {

/// Unknowns to residuals; each residual divided by its standard deviation.
using ResidualFunction = std::function<Eigen::VectorXd(const Eigen::VectorXd& unknowns)>;

struct LeastSquares {
  Eigen::VectorXd unknowns;
  Eigen::VectorXd residuals;
  Eigen::MatrixXd jacobian;  ///< of the residuals, at the solution; zero where it cannot be computed
  bool usable = true;        ///< false: a residual is not finite, or nothing could be minimised
};

/// Residuals and their derivatives (central differences) at `unknowns`, nothing minimised.
LeastSquares evaluate_squares(const ResidualFunction& residuals, const Eigen::VectorXd& unknowns);

/// Minimises the sum of squares from `start` on (Levenberg-Marquardt, central differences). The unknowns should be of
/// order one: the differences are taken over about 1e-6. Directions that the residuals do not depend on stay as they
/// are, and so does everything where the result is not usable.
LeastSquares minimise_squares(const ResidualFunction& residuals, const Eigen::VectorXd& start);

}  // namespace wainscot
