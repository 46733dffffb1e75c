#pragma once

// What the found constants are worth on the floor: how far off some usual drives end by odometry.

#include <string>
#include <vector>

#include "graph/calibrate/run_adjustment.hpp"
#include "graph/calibrate/run_equations.hpp"

namespace wainscot {

/// What a drive with these constants ends up with: standard deviations.
struct ExpectedError {
  std::string drive;                     ///< for people
  double along_m = 0.0, across_m = 0.0;  ///< by the constants' uncertainty
  double turn_rad = 0.0;
  double scatter_m = 0.0, scatter_rad = 0.0;  ///< by the wheels' own scatter, anew in each drive
};

/// Of 2 m straight ahead, then for each surface of a turn of 90 degrees, then of 10 m with four such turns.
std::vector<ExpectedError> expected_errors(const RunEquations& equations, const RunAdjustment& adjusted);

}  // namespace wainscot
