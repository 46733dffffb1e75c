#pragma once

// The first linear step of a calibration from a drive: turns of the lidar are linear in left / width and right / width,
// whatever its mounting. The clock's offset is the one with which they fit best.

#include <vector>

#include <Eigen/Core>

#include "graph/calibrate/tick_clock.hpp"
#include "graph/motion/scan_increments.hpp"

namespace wainscot {

struct TurnFit {
  /// Of the left and the right wheel: rad/tick, which are metres a tick over the track width.
  Eigen::Vector2d by_ticks = Eigen::Vector2d::Zero();
  double misfit_rad = 0.0;  ///< mean of |residual|, of the better nine tenths
};

/// `offset_s`: added to the lidar's times. At least one step.
TurnFit fit_turns(const std::vector<ScanIncrement>& steps, const TickClock& clock, double offset_s);

/// The offset with which the turns fit best, within `widest_s` both ways; 0 where that is the edge of the search.
double find_offset_s(const std::vector<ScanIncrement>& steps, const TickClock& ticks, double widest_s);

}  // namespace wainscot
