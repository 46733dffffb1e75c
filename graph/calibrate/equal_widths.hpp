#pragma once

// Wald's test of equal track widths on all surfaces, with the estimated scatter's degrees of freedom.

#include "graph/calibrate/run_adjustment.hpp"
#include "graph/calibrate/run_equations.hpp"

namespace wainscot {

/// Do the surfaces' widths differ by more than their uncertainties?
struct SurfaceTest {
  double f = 0.0;  ///< Fisher's F
  double above = 0.0, below = 0.0;
  double p = 1.0;  ///< so large an F, or a larger one, comes from equal surfaces with this probability
};

/// Needs two surfaces or more.
SurfaceTest test_surfaces(const RunEquations& equations, const RunAdjustment& adjusted);

}  // namespace wainscot
