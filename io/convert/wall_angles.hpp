#pragma once

// The angle from one range to the next, by walls being straight: along a straight wall 1 / r is a sinusoid of the
// angle, so that (1 / r1 + 1 / r3) / (2 / r2) of three beams equally far apart is the cosine of what is between them,
// however the wall stands. Most walls are straight; what corners and furniture make of it scatters.

#include <cstddef>
#include <vector>

namespace wainscot {

struct WallAngle {
  double step_rad = 0.0;    ///< the most frequent angle between neighbouring ranges, without its sign; 0: nothing seen
  std::size_t triples = 0;  ///< that were looked at
};

/// `turns`: ranges of whole turns in one unit, in their order; NaN, and what is not above 0, is no return.
WallAngle angle_by_walls(const std::vector<std::vector<double>>& turns);

}  // namespace wainscot
