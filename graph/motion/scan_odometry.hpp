#pragma once

// The robot's motion by its scans alone, for a drive whose own record of it is missing or says nothing: a log without
// wheels, counters that stood still, a lidar that was carried by hand.

#include "core/drive.hpp"
#include "graph/motion/scan_increments.hpp"

namespace wainscot {

/// Whether a drive has no record of its motion, or one in which the robot never goes anywhere (it may turn).
bool has_no_motion(const Drive& drive);

/// The drive with `Drive::odometry` made of what its scans show from each to the next, in the place of wheels or poses
/// that say nothing; unchanged where they do. A sentence in `Drive::warnings` tells of it. Where a scan fits nowhere
/// beside the one before, the motion is unknown (`Drive::breaks`). Works for scans that share most of what they see:
/// ten turns a second at a metre a second, not one scan a metre.
Drive with_motion(Drive drive);

/// The lidar's mounting carries the increments over to the robot. Times are the scans' stamps, and the last scan's end.
Drive with_motion_by_scans(Drive drive, const ScanIncrements& increments);

}  // namespace wainscot
