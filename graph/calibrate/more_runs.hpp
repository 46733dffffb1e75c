#pragma once

// Which runs would make the estimate better, and how many.

#include <string>

#include "graph/calibrate/run_adjustment.hpp"
#include "graph/calibrate/run_equations.hpp"

namespace wainscot {

/// How often to repeat what for half of the largest uncertainty.
struct MoreRuns {
  std::string constant;  ///< the one with the largest relative uncertainty
  double relative_sd = 0.0;
  std::string kind;  ///< of run, for people
  int count = 0;     ///< 0: more than 1000
};

/// The kind of run of which the fewest are needed.
MoreRuns more_runs(const RunEquations& equations, const RunAdjustment& adjusted);

}  // namespace wainscot
