#pragma once

// A map of a recorded drive against poses that others found for its scans: how far the path is off, which closures are
// right and which are missing, and whether the errors are as large as the map states.
//
// The reference is an estimate as well, good to some centimetres: what agrees within those is as good as it can be
// told to be. Its poses are the lidar's at the stamps of the scans.

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/pose2.hpp"
#include "core/trajectory_error.hpp"
#include "graph/adjust/scan_poses.hpp"
#include "graph/pose_graph.hpp"

namespace wainscot::bench {

/// A row of the reference this near to a scan's stamp is that scan's: stamps are written with some digits only, and
/// lidars are not faster than 50 turns a second.
constexpr double kSameStampS = 0.02;

/// The reference's pose at a stamp, if there is one.
std::optional<Pose2> reference_at(const std::vector<TimedPose>& reference, double time_s);

/// Of each node: the robot's pose by the reference, in the reference's frame, the lidar mounted as `mounting` says.
using NodeReferences = std::vector<std::optional<Pose2>>;
NodeReferences node_references(const PoseGraph& graph, const Drive& drive, const std::vector<TimedPose>& reference,
                               const Pose2& mounting);

/// The lidar's path after the best rigid alignment.
struct PathScore {
  TrajectoryError error;
  std::size_t off_by_1m = 0;   ///< scans that are off by more,
  std::size_t off_by_10m = 0;  ///< and those lost altogether
};

/// Throws `PoorData` where fewer than two placed scans have a pose in the reference.
PathScore score_path(const std::vector<ScanPose>& placed, const Drive& drive, const std::vector<TimedPose>& reference,
                     const Pose2& mounting);

/// An accepted closure whose relation differs from the reference's by more is wrong: five times what the reference
/// itself is good for, and less than what takes a robot for one in the next room.
constexpr double kWrongRelation_m = 0.5;
constexpr double kWrongRelation_rad = 5.0 * 0.017453292519943295;

struct RelationScore {
  std::size_t right = 0;
  std::size_t wrong = 0;
  std::size_t unknown = 0;    ///< accepted, but the reference lacks an end
  std::size_t returned = 0;   ///< nodes at which the robot came back,
  std::size_t missed = 0;     ///< those of them without a closure,
  std::size_t stretches = 0;  ///< and the stretches that these form
  double missed_way_m = 0.0;  ///< of the stretches, from their first node to their last
  double longest_missed_m = 0.0;
};

/// A node comes back where by the reference it lies within 1 m of an earlier one with more than 10 m of way between
/// them, turned by at most `same_heading_rad` (a lidar that sees half a circle sees nothing in common when it comes
/// back the other way). It is missed where no right closure has an end within 2 m of way of it and its other end more
/// than 10 m of way away. Missed nodes with less than 3 m of way between them form a stretch. Way is measured along
/// the reference.
RelationScore score_relations(const std::vector<LoopCandidate>& candidates, const NodeReferences& references,
                              double same_heading_rad);

/// 30 degrees for a lidar that sees less than 300 degrees, else half a turn.
double same_heading_rad(const Drive& drive);

/// Median of |error| / standard deviation of a normal distribution.
constexpr double kNormalMedian = 0.6745;

/// Standard deviations of what each pose of the reference errs by itself, ahead, to the left and in heading (m, m,
/// rad), from the relations of neighbouring nodes: matching holds those to millimetres and hundredths of a degree, so
/// that they differ from the reference's by two poses' errors. By the median, since some poses are far off. What errors
/// of the reference neighbours share does not show.
Eigen::Vector3d reference_noise(const PoseGraph& graph, const NodeReferences& references);

/// Whether the nodes' stated covariances hold the errors, map and reference laid over each other at the first node that
/// has a reference, not by the best fit, since covariances are stated against the start. The reference's own error at
/// that node goes into all others: its heading, times the distance, into their positions.
struct IntervalScore {
  std::size_t nodes = 0;       ///< that were judged
  double position_held = 0.0;  ///< part of them whose position lies in the 95 % ellipse (chi squared, 2 degrees)
  double heading_held = 0.0;   ///< and whose heading lies within 1.96 standard deviations
  /// Ahead, to the left (axes of the node) and heading: median of |error| / standard deviation. A normal distribution
  /// has 0.67.
  std::array<double, 3> error_per_sd{};
  std::array<double, 3> error{};  ///< medians of |error|, m, m, rad
  std::array<double, 3> sd{};     ///< and of the standard deviations
  double start_off_m = 0.0;       ///< under the best alignment the first node is off by so much
  double start_off_rad = 0.0;
};

/// `noise`: of reference_noise(), to be allowed for at the node and at the first one; zero: the map's word alone.
IntervalScore score_intervals(const PoseGraph& graph, const NodeReferences& references,
                              const Eigen::Vector3d& noise = Eigen::Vector3d::Zero());

}  // namespace wainscot::bench
