#pragma once

// A recording as the stages are to take it: what it states of itself and its own scans refute is put right, with a
// sentence each in `Drive::warnings`.

#include "core/drive.hpp"

namespace wainscot {

/// The lidar's noise where robot.yaml misstates it (graph/motion/scan_noise.hpp), and the motion where nothing is
/// recorded of it (graph/motion/scan_odometry.hpp).
Drive usable_drive(Drive drive);

}  // namespace wainscot
