#pragma once

// The weighted least-squares estimate from all runs together, constants and scatter in turn.
//
// How much a measurement is worth the runs themselves say, for straights, turns and other ends apart: W. Foerstner,
// "Ein Verfahren zur Schaetzung von Varianz- und Kovarianzkomponenten", Allgemeine Vermessungs-Nachrichten 86, 1979;
// where fewer than four measurements of a group are surplus, what was stated takes part with the missing degrees of
// freedom (JCGM 100:2008, G.4.2).

#include <Eigen/Core>

#include "graph/calibrate/run_equations.hpp"
#include "graph/least_squares.hpp"

namespace wainscot {

struct RunAdjustment {
  LeastSquares fit;                    ///< of run_residual_function() with `scatter`
  Eigen::MatrixXd covariance;          ///< of the unknowns
  Eigen::VectorXd leverages;           ///< of each row: its own part in what is expected of it, 0..1
  GroupValues scatter{1.0, 1.0, 1.0};  ///< real / stated standard deviation
  GroupValues surplus{};               ///< measurements less what the estimate takes of them

  const Eigen::VectorXd& unknowns() const { return fit.unknowns; }
  /// Degrees of freedom of a group's scatter.
  double degrees(RowGroup group) const;
};

/// From `start` on. The runs have to determine all unknowns (missing_runs()).
RunAdjustment adjust_runs(const RunEquations& equations, const Eigen::VectorXd& start);

}  // namespace wainscot
