#pragma once

// Constants with their standard uncertainties and intervals: Student's t with the effective degrees of freedom of Welch
// and Satterthwaite (JCGM 100:2008, G.4.1), since each group of measurements says its own scatter.

#include <Eigen/Core>

#include "graph/calibrate/run_adjustment.hpp"
#include "graph/calibrate/run_equations.hpp"

namespace wainscot {

/// A constant with its standard uncertainty and the half width of its interval.
struct Estimate {
  double value = 0.0;
  double sd = 0.0;
  double half_width = 0.0;  ///< of the interval that holds the truth with `confidence`
  double degrees = 0.0;     ///< effective degrees of freedom of `sd`
};

/// A linear function of the unknowns: its `value`, and its derivatives `by` them. `confidence`: 0..1.
Estimate run_estimate(const RunEquations& equations, const RunAdjustment& adjusted, double value,
                      const Eigen::VectorXd& by, double confidence);

}  // namespace wainscot
