#pragma once

// The second linear step of a calibration from a drive: with the turns known, the lidar's ways are linear in the track
// width, the mounting's place and (cos, sin) of its heading, of which only the last two are tied, so that the solution
// is the lesser eigenvector of a 2 x 2 matrix (source: drive_calibration.hpp).

#include <vector>

#include <Eigen/Core>

#include "graph/calibrate/drive_constants.hpp"
#include "graph/calibrate/tick_clock.hpp"
#include "graph/motion/scan_increments.hpp"

namespace wainscot {

/// All seven constants from `by_ticks` of fit_turns() and the clock's offset. `stated_width_m`: the width is kept
/// within a fifth and five times of it.
DriveVector fit_ways(const std::vector<ScanIncrement>& steps, const TickClock& ticks, const Eigen::Vector2d& by_ticks,
                     double offset_s, double stated_width_m);

}  // namespace wainscot
