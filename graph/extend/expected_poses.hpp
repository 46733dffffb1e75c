#pragma once

// Before drives are joined to a map: each new drive's own map is laid on the old one as a whole
// (graph/extend/shared_house), or on that of another new drive that lies there already. That tells where every scan of
// the joined recording is, to a few centimetres, and whether the drive belongs here at all.

#include <span>
#include <vector>

#include "core/drive.hpp"
#include "core/pose2.hpp"
#include "graph/extend/joined_drives.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// Of each scan of `joined`, in the frame of `old`. `drives`: those that were joined, first those of `old` with the
/// scans of its nodes only; `alone`: the maps of the others, which count the scans of their drives. Throws `PoorData`
/// with the figures where a drive does not lie in the old map in one way only.
std::vector<Pose2> expected_poses(const JoinedDrives& joined, const Map& old, std::span<const Drive> drives,
                                  const std::vector<Map>& alone);

}  // namespace wainscot
