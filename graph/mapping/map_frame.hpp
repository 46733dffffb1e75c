#pragma once

// In which frame a map stands: that of the first used scan, or another one that the user asked for. A stage between
// placing the scans and drawing them, so that nothing is drawn twice: relative poses, and the covariances in each
// node's own frame, are the same in every frame.

#include <optional>
#include <vector>

#include "core/pose2.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// What a map's frame was set by.
enum class FrameSetBy { first_scan, survey, walls, user };

struct MapFrameOptions {
  /// The walls run along the axes; the origin stays at the first used scan, whose heading changes by 45 degrees at
  /// most.
  bool upright = false;
  std::optional<Pose2> first_pose;  ///< of the first used scan, in a frame of the user's; not with `upright`

  FrameSetBy set_by() const {
    return upright ? FrameSetBy::walls : first_pose ? FrameSetBy::user : FrameSetBy::first_scan;
  }
  bool is_asked() const { return set_by() != FrameSetBy::first_scan; }
};

/// The pose of the present frame in the wanted one. `pieces` and `first`, the pose of the first used scan, in the
/// present frame. With `upright` and no wall at all nothing is turned.
Pose2 wanted_frame(const MapFrameOptions& options, const std::vector<WallPiece>& pieces, const Pose2& first);

/// The pieces in another frame, of which `new_old` is the pose of the present one; as for scans (scan_poses.hpp).
std::vector<WallPiece> in_frame(const Pose2& new_old, std::vector<WallPiece> pieces);

/// The markers likewise; the frame is no longer the survey's.
MapMarkers in_frame(const Pose2& new_old, MapMarkers markers);

/// And the lines.
MapLines in_frame(const Pose2& new_old, MapLines lines);

}  // namespace wainscot
