#pragma once

// What a path drifts by a metre driven and by a turn, with its sign: what a person can correct in robot.yaml.
//
// Both paths are cut into stretches; over each, the way (the forward components of its steps, backing counted
// negative) and the turning (left positive) are summed for both, and the differences are fitted by least squares:
//
//   way difference     = way_m_per_m * way
//   heading difference = heading_rad_per_m * way + heading_rad_per_rad * turning
//
// The three are the systematic errors of two driven wheels, which J. Borenstein and L. Feng, "Measurement and
// correction of systematic odometry errors in mobile robots", IEEE Trans. Robotics and Automation 12(6), 1996, call
// scaling error, unequal wheel diameters and uncertain wheelbase.

#include <cstddef>
#include <span>

#include "core/pose_pairs.hpp"

namespace wainscot {

struct DriftRateOptions {
  double stretch_m = 0.5;    ///< a stretch ends where the reference has moved so far,
  double stretch_rad = 0.5;  ///< or turned so far: the noise of a step must not drown what is looked for
};

struct DriftRate {
  std::size_t stretches = 0;         ///< fewer than 2: nothing is known, and all figures are 0
  double way_m_per_m = 0.0;          ///< positive: the estimate's ways are too long
  double heading_rad_per_m = 0.0;    ///< positive: drifts to the left while driving straight on
  double heading_rad_per_rad = 0.0;  ///< positive: the estimate's turns are too large
};

/// A figure is 0 where the drive does not tell it: no way for the first two, no turning for the last.
DriftRate drift_rate(std::span<const PosePair> pairs, const DriftRateOptions& options = {});

}  // namespace wainscot
