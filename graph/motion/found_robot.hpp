#pragma once

// The robot of a drive whose robot.yaml leaves out the wheels' constants: the drive's own motion tells them, and where
// the lidar sits, in the lidar's metres.
//
// From motion alone nobody can tell a robot from its mirror image, nor its front from its back (see
// graph/check/explanation): the wheels' columns are believed to be named rightly. Where both counters then run
// backwards, which hardly anybody builds, and robot.yaml does not say which way the lidar's angles run, they are taken
// to run clockwise, as those of many lidars do.

#include "core/drive.hpp"

namespace wainscot {

/// The drive with wheels and mounting as found, with standard uncertainties that leave the mapping room to find better
/// ones, and the lidar's clock where it is far off; `LeftOut::found` is set, and `LeftOut::mirrored` stays set only
/// where the lidar's angles were turned round. Unchanged where robot.yaml leaves nothing out, or where no wheel counts.
/// Throws `PoorData` where the drive does not show enough, with what to drive.
Drive with_found_robot(Drive drive);

}  // namespace wainscot
