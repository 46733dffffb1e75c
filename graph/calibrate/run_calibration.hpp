#pragma once

// The wheels' constants from runs that were measured with a tape: metres a tick of both wheels and the effective track
// width of each surface, one weighted least-squares estimate from all runs together.
//
// Each measured end (turn, left, forward) is weighted by what its measurement and the wheels' scatter on the way are
// worth. How much that really is the runs themselves say, for straights, turns and other ends apart: W. Foerstner, "Ein
// Verfahren zur Schaetzung von Varianz- und Kovarianzkomponenten", Allgemeine Vermessungs-Nachrichten 86, 1979; where
// fewer than four measurements are surplus, what was stated takes part with the missing degrees of freedom (JCGM
// 100:2008, G.4.2). Intervals are Student's t with the effective degrees of freedom of Welch and Satterthwaite (JCGM
// 100:2008, G.4.1).

#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "core/calibration_runs.hpp"
#include "core/pose2.hpp"

namespace wainscot {

struct RunCalibrationOptions {
  double sd_m = 0.003;       ///< of a taped length where the run does not say
  double sd_rad = 0.0087;    ///< of a turn where the run does not say: half a degree, by wall contact
  double odd_chance = 0.05;  ///< a run is odd where so large a residual happens in fewer sets of good runs than this
  double confidence = 0.95;  ///< of all intervals
};

/// A constant with its standard uncertainty and the half width of its interval.
struct Estimate {
  double value = 0.0;
  double sd = 0.0;
  double half_width = 0.0;  ///< of the interval that holds the truth with `confidence`
  double degrees = 0.0;     ///< effective degrees of freedom of `sd`
};

struct SurfaceWidth {
  std::string surface;
  Estimate width_m;
  int runs = 0;
};

/// Measured minus expected, of one run; nullopt: not measured.
struct RunResidual {
  std::string run;
  std::optional<double> forward_m;
  std::optional<double> left_m;
  std::optional<double> turn_rad;
  std::string worst;  ///< "forward_m", "left_m" or "turn_deg": which stands out most; empty: nothing checks this run
  double worst_ratio = 0.0;  ///< its residual in standard deviations, the run itself left out of what they are
                             ///< estimated from (externally studentised); the sides of a square are decorrelated first
  double limit = 0.0;        ///< beyond it the run is odd
  bool odd() const { return worst_ratio > limit; }
};

/// Do the surfaces' widths differ by more than their uncertainties?
struct SurfaceTest {
  double f = 0.0;  ///< Fisher's F
  double above = 0.0, below = 0.0;
  double p = 1.0;  ///< so large an F, or a larger one, comes from equal surfaces with this probability
};

/// What a drive with these constants ends up with: standard deviations.
struct ExpectedError {
  std::string drive;                     ///< for people
  double along_m = 0.0, across_m = 0.0;  ///< by the constants' uncertainty
  double turn_rad = 0.0;
  double scatter_m = 0.0, scatter_rad = 0.0;  ///< by the wheels' own scatter, anew in each drive
};

/// How often to repeat what for half of the largest uncertainty.
struct MoreRuns {
  std::string constant;  ///< the one with the largest relative uncertainty
  double relative_sd = 0.0;
  std::string kind;  ///< of run, for people
  int count = 0;     ///< 0: more than 1000
};

struct RunCalibration {
  Estimate left_m_per_tick;
  Estimate right_m_per_tick;
  std::vector<SurfaceWidth> surfaces;  ///< by name
  Estimate mean_width_m;               ///< plain mean over the surfaces
  double way_scatter = 1.0;            ///< real / stated standard deviation of the lengths of straights,
  double place_scatter = 1.0;          ///< of the other lengths
  double turn_scatter = 1.0;           ///< and of turns
  double surplus = 0.0;                ///< measurements less unknowns
  std::vector<RunResidual> residuals;
  std::optional<SurfaceTest> surface_test;  ///< with two surfaces or more
  std::vector<ExpectedError> expected;
  MoreRuns more;

  double width_m(const std::string& surface) const;  ///< throws std::out_of_range for an unknown one
};

/// Throws `PoorData` where the runs do not determine the constants (it says which runs are missing) or contradict one
/// another so that no majority tells which is wrong (it names the two).
RunCalibration calibrate_runs(const CalibrationRuns& runs, const RunCalibrationOptions& options = {});

/// Where a run ends by its counts, in the frame of its start.
Pose2 end_of_run(const std::vector<WheelCounts>& wheels, double left_m_per_tick, double right_m_per_tick,
                 double track_width_m);

}  // namespace wainscot
