#pragma once

// A Gauss-Newton step that is damped where it does not help: K. Levenberg, Quart. Appl. Math. 2, 1944; D. Marquardt, J.
// SIAM 11(2), 1963. Where the plain step serves, it is taken as it is.

#include <functional>

#include <Eigen/Core>

#include "graph/normal_system.hpp"

namespace wainscot {

struct DampingOptions {
  /// Weights and pairs are those of where the step began, so that the cost rises by some where the plain step is good
  /// (by a tenth and more on drives whose loops are bent far). Twice the cost is no such rise: then it is damped, and
  /// must not rise at all.
  double most_rise = 1.0;
  double first_damping = 1e-3;  ///< of the matrix' diagonal, once the plain step has failed,
  double growth = 30.0;         ///< then so many times more
  int most_dampings = 5;        ///< until the step is next to nothing
};

enum class StepEnd {
  taken,
  cost_rose,   ///< however much damped
  unsolvable,  ///< the matrix is singular or not finite, and no damping helps
};

struct DampedStep {
  StepEnd end = StepEnd::unsolvable;
  Eigen::VectorXd step;  ///< empty where none was taken
  double damping = 0.0;  ///< that it took
  double cost_before = 0.0;
  double cost_after = 0.0;
};

/// `cost_at`: cost once the unknowns have moved by a step; the last one that it is asked for is the step taken. Leaves
/// `factor` with the damping of the step.
DampedStep damped_step(NormalFactor& factor, double cost_before,
                       const std::function<double(const Eigen::VectorXd& step)>& cost_at,
                       const DampingOptions& options = {});

}  // namespace wainscot
