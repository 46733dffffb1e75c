#pragma once

// A run that nobody drove: what found constants are worth is asked of such.

#include <vector>

#include "core/calibration_runs.hpp"
#include "graph/calibrate/run_end.hpp"

namespace wainscot {

/// Straights of `ways_m` (0: none), each followed by a turn of `turn_rad` to the left on the spot (0: none), as a robot
/// of this geometry counts it, ten rows a piece. All of the end is measured.
CalibrationRun imagined_run(const std::vector<double>& ways_m, double turn_rad, const WheelGeometry& geometry);

}  // namespace wainscot
