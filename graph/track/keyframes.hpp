#pragma once

// From scans to keyframes: which scans become nodes of the graph, and where each is when it is matched against the
// walls that the last few metres of the drive have shown.

#include <cstddef>
#include <functional>
#include <optional>
#include <vector>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "graph/drive_part.hpp"
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
  double local_way_m = 7.0;         ///< walls not seen for this way are left to loop closure,
  std::size_t local_nodes = 6;      ///< but the last nodes are kept however far apart the scans are
  double weak_overlap = 0.45;       ///< a match below it is worth less than its pairs say
  double clear_overlap = 0.65;      ///< a match outside of what odometry allows must be as good as this
  double sure_overlap = 0.8;        ///< below it, or outside of odometry, better places are looked for within reach
  int min_returns = 20;             ///< scans with fewer returns cannot be matched and are left out
  /// A node whose match is kept as it was put, for explaining it: TrackedPath::kept_match.
  std::optional<std::size_t> keep_match_of = {};
  /// Of a recording that was joined from several: each begins anew, since nothing tells how it lies to the one before.
  std::vector<DrivePart> parts = {};
};

/// A step in which a slip would not have been seen, or not along one direction.
struct UnseenStep {
  std::size_t node = 0;                                     ///< to which it leads
  Eigen::Vector3d slip_variance = Eigen::Vector3d::Zero();  ///< along, across (m2), heading (rad2)
};

struct TrackedPath {
  std::vector<Keyframe> keyframes;
  std::vector<Pose2> poses;  ///< of the keyframes; the first is the origin
  /// From each keyframe to the next, match and odometry together; odometry alone, and no tighter than it, where the
  /// scan fits nothing.
  std::vector<Edge> edges;
  /// Nodes, ascending, at whose arrival odometry was found wrong beyond its noise (the robot was lifted or slipped) or
  /// was not there: nothing that it says of the way from the node before is to be used.
  std::vector<std::size_t> jumps;
  /// Of those, ascending, the nodes at which a new local map begins: the edge to them says no more
  /// than how far the robot can have come.
  std::vector<std::size_t> breaks;
  /// Way along which the walls told next to nothing of one direction (along a bare corridor) or of the heading (in a
  /// round room), so that odometry's word was kept for it.
  double way_left_open_m = 0.0;
  /// Nodes, ascending, to which that way leads.
  std::vector<std::size_t> left_open;
  /// By node, ascending: the way left open, where slips are as frequent and as far as in the drive's other steps, which
  /// the edges to them know of, and steps whose scan fits nothing, where the robot may be anywhere that was searched,
  /// which the edges, odometry's word, do not know of.
  std::vector<UnseenStep> unseen;
  std::optional<MatchProblem> kept_match = {};  ///< see TrackingOptions::keep_match_of
};

/// The steps with those marked unknown that lie between a jump's node and the one before.
std::vector<OdometryStep> without_jumps(std::vector<OdometryStep> steps, const TrackedPath& tracked);

/// The steps with the slip variances of what was not seen.
std::vector<OdometryStep> with_unseen_slips(std::vector<OdometryStep> steps, const TrackedPath& tracked);

/// Motion-corrects one scan along the odometry's path and estimates its normals.
std::vector<ScanPoint> prepare_scan(const Scan& scan, double begin_s, const LidarModel& lidar,
                                    const LidarConstants& constants, const OdometryPath& path,
                                    const Tangent2& extra_velocity);

/// Picks keyframes among `scans` (indices into drive.scans) and matches each against the local map.
TrackedPath track_keyframes(const Drive& drive, const std::vector<std::size_t>& scans,
                            const std::vector<OdometryStep>& steps, const TrackingOptions& options,
                            const std::function<void(double)>& progress);

}  // namespace wainscot
