#pragma once

// A recording as the stages are to take it: what it states of itself and its own scans refute is put right, with a
// sentence each in `Drive::warnings`.

#include "core/drive.hpp"

namespace wainscot {

/// The lidar's noise where robot.yaml misstates it (graph/motion/scan_noise.hpp), the wheels and the mounting where it
/// leaves them out (graph/motion/found_robot.hpp), and the motion where nothing is recorded of it
/// (graph/motion/scan_odometry.hpp). Throws `PoorData` where the drive does not show what robot.yaml leaves out.
Drive usable_drive(Drive drive);

}  // namespace wainscot
