#pragma once

// The wheels' constants from runs that were measured with a tape: metres a tick of both wheels and the effective track
// width of each surface, one weighted least-squares estimate from all runs together.
//
// Each measured end (turn, left, forward) is weighted by what its measurement and the wheels' scatter on the way are
// worth. The stages, in their order: runs that give one constant alone start the estimate and must agree
// (simple_runs.hpp); all runs become equations (run_equations.hpp); what they leave open is refused (missing_runs.hpp);
// constants and scatter are estimated together (run_adjustment.hpp); what that is worth is told.

#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "core/calibration_runs.hpp"
#include "graph/calibrate/equal_widths.hpp"
#include "graph/calibrate/expected_errors.hpp"
#include "graph/calibrate/more_runs.hpp"
#include "graph/calibrate/run_estimate.hpp"
#include "graph/calibrate/run_residuals.hpp"

namespace wainscot {

struct RunCalibrationOptions {
  double sd_m = 0.003;       ///< of a taped length where the run does not say
  double sd_rad = 0.0087;    ///< of a turn where the run does not say: half a degree, by wall contact
  double odd_chance = 0.05;  ///< a run is odd where so large a residual happens in fewer sets of good runs than this
  double confidence = 0.95;  ///< of all intervals
};

struct SurfaceWidth {
  std::string surface;
  Estimate width_m;
  int runs = 0;
};

struct RunCalibration {
  Estimate left_m_per_tick;
  Estimate right_m_per_tick;
  std::vector<SurfaceWidth> surfaces;  ///< by name
  Estimate mean_width_m;               ///< plain mean over the surfaces
  /// Of metres a tick left, right and mean width: tape and scatter are in all three.
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();
  double way_scatter = 1.0;    ///< real / stated standard deviation of the lengths of straights,
  double place_scatter = 1.0;  ///< of the other lengths
  double turn_scatter = 1.0;   ///< and of turns
  double surplus = 0.0;        ///< measurements less unknowns
  std::vector<RunResidual> residuals;
  std::optional<SurfaceTest> surface_test;  ///< with two surfaces or more
  std::vector<ExpectedError> expected;
  MoreRuns more;

  /// Variance of the width of a floor, or of a mix of these floors in any proportions, each as likely as the others,
  /// about mean_width_m, beside that of mean_width_m; 0 of one floor.
  double mix_variance_m2() const;

  double width_m(const std::string& surface) const;  ///< throws std::out_of_range for an unknown one
};

/// Throws `PoorData` where the runs do not determine the constants (it says which runs are missing) or contradict one
/// another so that no majority tells which is wrong (it names the two).
RunCalibration calibrate_runs(const CalibrationRuns& runs, const RunCalibrationOptions& options = {});

}  // namespace wainscot
