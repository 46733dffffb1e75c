#pragma once

// From scans to keyframes: which scans become nodes of the graph, and where each is when it is matched against the
// walls that the last few metres of the drive have shown.

#include <cstddef>
#include <functional>
#include <vector>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "graph/pose_graph.hpp"
#include "scanmatch/icp.hpp"
#include "scanmatch/motion_correction.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {

/// A scan that is a node of the graph.
struct Keyframe {
  std::size_t scan = 0;  ///< index into Drive::scans
  double time_s = 0.0;
  std::vector<ScanPoint> points;  ///< motion-corrected, with normals where known
};

struct TrackingOptions {
  double keyframe_way_m = 0.30;     ///< a new keyframe after this way,
  double keyframe_turn_rad = 0.30;  ///< or this turn (17 degrees): neighbours see nearly the same walls
  double local_way_m = 7.0;         ///< walls not seen for this way are left to loop closure
  double weak_overlap = 0.45;       ///< below it, a match is searched for around the prediction
  int min_returns = 20;             ///< scans with fewer returns cannot be matched and are left out
};

struct TrackedPath {
  std::vector<Keyframe> keyframes;
  std::vector<Pose2> poses;  ///< of the keyframes; the first is the origin
  std::vector<Edge> edges;   ///< from each keyframe to the next, match and odometry together
};

/// Motion-corrects one scan along the odometry's path and estimates its normals.
std::vector<ScanPoint> prepare_scan(const Scan& scan, double begin_s, const LidarModel& lidar,
                                    const LidarConstants& constants, const OdometryPath& path,
                                    const Tangent2& extra_velocity);

/// Picks keyframes among `scans` (indices into drive.scans) and matches each against the local map.
TrackedPath track_keyframes(const Drive& drive, const std::vector<std::size_t>& scans,
                            const std::vector<OdometryStep>& steps, const TrackingOptions& options,
                            const std::function<void(double)>& progress);

}  // namespace wainscot
