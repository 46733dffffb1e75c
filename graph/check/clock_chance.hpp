#pragma once

// How sure a clock's offset is on this drive: what turns explain at the offset found, against what they explain at
// others, and how many turns there are that could tell.

#include <vector>

#include "graph/motion/clock_fit.hpp"
#include "graph/motion/lidar_motion.hpp"
#include "graph/motion/wheel_series.hpp"

namespace wainscot {

struct ClockChance {
  double turned_rad = 0.0;  ///< by the lidar, beyond what noise makes of standing still
  /// Turns that are independent of each other: windows of two seconds by their shares of what is to be explained, one
  /// over the sum of the shares' squares. One turn on the spot is 1 or 2, however many scans saw it.
  double turns = 0.0;
  double explained = 0.0;  ///< of the lidar's turns at the offset found, 0..1, every turn counted as it is
  double elsewhere = 0.0;  ///< the most at offsets two seconds away and more
  double as_stated = 0.0;  ///< at the clocks as robot.yaml states them
  /// Twice the logarithm of the likelihood ratio of the offset found to the best one elsewhere, with as many errors as
  /// there are turns; and to the stated one, with as many errors as the residuals' own correlation leaves.
  double chi_squared_elsewhere = 0.0;
  double chi_squared_stated = 0.0;
};

/// `fit`: of these steps, with steps > 0.
ClockChance clock_chance(const std::vector<LidarStride>& steps, const WheelSeries& wheels, const ClockFit& fit);

/// Of a drift alone: twice the logarithm of the likelihood ratio of `fit` to the best fit without a drift, which looks
/// for its own offset; one degree of freedom. The errors are as large as this drive's own, and as many as are
/// independent. Takes as long as a fit.
double drift_chi_squared(const std::vector<LidarStride>& steps, const WheelSeries& wheels, const ClockFit& fit);

}  // namespace wainscot
