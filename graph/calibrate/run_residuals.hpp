#pragma once

// What is left of each run once the constants are estimated, and which runs stand out.

#include <optional>
#include <string>
#include <vector>

#include "graph/calibrate/run_adjustment.hpp"
#include "graph/calibrate/run_equations.hpp"

namespace wainscot {

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

/// One for each run. `odd_chance`: so large a residual happens in fewer sets of good runs than this.
std::vector<RunResidual> run_residuals(const RunEquations& equations, const RunAdjustment& adjusted, double odd_chance);

}  // namespace wainscot
