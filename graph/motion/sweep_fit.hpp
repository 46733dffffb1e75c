#pragma once

// How long a turn of the lidar takes, and in which order it fires, by how well scans fit one another.
//
// A lidar that turns with the robot smears a scan; two scans taken at different yaw rates fit only where both are
// corrected with the true time of a turn. The wheels have no say.

#include <cstddef>

#include "graph/motion/lidar_motion.hpp"

namespace wainscot {

struct SweepFit {
  double sweep_s = 0.0;          ///< negative: fired in the opposite order of what the log says
  double sd_s = 0.0;             ///< standard uncertainty, from the scatter between pairs
  double misfit_m = 0.0;         ///< root mean square distance of the returns from the other scan's walls there,
  double stated_misfit_m = 0.0;  ///< and with the stated time
  double better = 0.0;           ///< mean drop of the pairs' misfits from stated to found / its standard uncertainty
  std::size_t pairs = 0;         ///< of scans with different yaw rates; 0: the drive does not tell
};

/// Compares times from -1.5 to 1.5 turns. `motion` may be of scans corrected with any time of a turn.
SweepFit fit_sweep(const TurnScans& scans, const LidarMotion& motion, const LidarConstants& lidar, int threads);

}  // namespace wainscot
