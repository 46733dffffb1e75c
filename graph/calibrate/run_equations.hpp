#pragma once

// Measured runs as observation equations: each measured component of an end is one row, decorrelated from the others of
// its run and divided by its standard deviation as stated.

#include <array>
#include <cstddef>
#include <vector>

#include <Eigen/Core>

#include "core/calibration_runs.hpp"
#include "core/odometry.hpp"
#include "graph/calibrate/run_end.hpp"
#include "graph/calibrate/run_unknowns.hpp"
#include "graph/least_squares.hpp"

namespace wainscot {

/// Measurements whose scatter is alike, for which its factor is estimated.
enum RowGroup : std::size_t {
  kTurns,
  kWays,    ///< forward_m of straights
  kPlaces,  ///< all other lengths, which depend on the headings on the way
  kRowGroups
};
constexpr std::array<RowGroup, kRowGroups> kAllRowGroups{kTurns, kWays, kPlaces};

/// A value for each group.
using GroupValues = std::array<double, kRowGroups>;

struct MeasuredRow {
  std::size_t run = 0;  ///< index into CalibrationRuns::runs
  EndComponent component = kEndTurn;
  RowGroup group = kTurns;
};

struct RunEquations {
  CalibrationRuns runs;
  RunUnknowns unknowns;
  OdometryNoise noise;
  TapeSd tape;
  std::vector<MeasuredRow> rows;         ///< run by run, those of a run in the order of EndComponent
  std::vector<Eigen::MatrixXd> weights;  ///< of each run, see end_weight()

  /// The constants of a run at `x`.
  WheelGeometry geometry(const Eigen::VectorXd& x, std::size_t run) const;
};

/// Inverse Cholesky factor of the covariance of the run's measured components.
Eigen::MatrixXd end_weight(const CalibrationRun& run, const WheelGeometry& geometry, const OdometryNoise& noise,
                           const TapeSd& tape);

/// Weighted with the constants of `start`.
RunEquations run_equations(const CalibrationRuns& runs, const RunUnknowns& unknowns, const TapeSd& tape,
                           const Eigen::VectorXd& start);

/// Measured minus expected, decorrelated, in units of the stated standard deviation times the `scatter` of its group.
/// The function refers to `equations`.
ResidualFunction run_residual_function(const RunEquations& equations, const GroupValues& scatter);

}  // namespace wainscot
