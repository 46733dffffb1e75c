#pragma once

// The lidar's clock against the wheels': the shift, and its growth, at which the lidar's turns follow best from the
// two wheels' counts. Whatever the wheels' signs and constants are, and whichever is which, they are free.

#include <cstddef>
#include <vector>

#include "graph/motion/lidar_motion.hpp"
#include "graph/motion/wheel_series.hpp"

namespace wainscot {

struct ClockFit {
  double offset_s = 0.0;  ///< to be added to the lidar's times, in the middle of the drive
  double offset_sd_s = 0.0;
  double drift = 0.0;  ///< and its growth, seconds a second
  double drift_sd = 0.0;
  double middle_s = 0.0;   ///< on the lidar's clock
  double explained = 0.0;  ///< of the variance of the lidar's turns, what the wheels explain, 0..1
  std::size_t steps = 0;   ///< that were used; 0: none could be
  /// Rows of the wheels that were looked at for the lattice on which the search begins: its work.
  std::size_t looked_at = 0;

  double wheel_time_s(double lidar_s) const { return lidar_s + offset_s + drift * (lidar_s - middle_s); }
};

struct ClockFitOptions {
  double most_offset_s = 15.0;  ///< people start two programs within that
  double most_drift = 0.02;     ///< a clock that is off by more is none; 0: it runs as the wheels' does
};

/// `steps` by their times. The work grows with the steps, and for one step with what `most_drift` can have come to by
/// then: little in an hour.
ClockFit fit_clock(const std::vector<LidarStride>& steps, const WheelSeries& wheels,
                   const ClockFitOptions& options = {});

/// In standard deviations: where an error begins to lose its say by Cauchy's weights. 95 % efficient where errors are
/// normal, which one integral shows.
inline constexpr double kCauchyReach = 2.385;

/// Standard deviation of errors of which less than half are wrong; 0 of none.
double usual_size_rad(std::vector<double> errors_rad);

/// Beyond which an error of a lidar's turn against the wheels loses its say: the noise of a step, or what this drive's
/// errors are where it is more, as when a robot drives a metre between two scans.
double usual_turn_error_rad(std::vector<double> errors_rad);

}  // namespace wainscot
