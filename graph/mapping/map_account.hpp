#pragma once

// The account of a finished map: trajectory, graph, refined constants, how good it is believed to be, and warnings.

#include <vector>

#include "core/drive.hpp"
#include "graph/adjust/joint_adjustment.hpp"
#include "graph/adjust/scan_poses.hpp"
#include "graph/close/loop_closure.hpp"
#include "graph/drive_part.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// Throws PoorData with what was left out and why.
[[noreturn]] void throw_too_few_scans(const Drive& drive, const Quality& quality);

/// The pieces of wall that two nodes or more saw, in the adjustment's frame.
std::vector<WallPiece> wall_pieces(const JointResult& adjusted);

/// Fills everything of `map` but the grid and quality's counts of scans, which are there already. `path`: of
/// odometry with the adjusted constants; `jumps`: as TrackedPath has them; `lengths`: with which `adjusted` was made;
/// `parts`: of a joined recording, else empty.
/// Poses are those of `scans`, wall pieces those of `adjusted`.
void give_account(const Drive& drive, const OdometryPath& path, const std::vector<std::size_t>& jumps,
                  const ClosedGraph& closed, const JointResult& adjusted, const std::vector<ScanPose>& scans,
                  const LengthEvidence& lengths, const std::vector<DrivePart>& parts, Map& map);

}  // namespace wainscot
