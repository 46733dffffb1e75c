#pragma once

// The last word on accuracy: all nodes' poses, short pieces of wall that many scans share, and the robot's constants
// are estimated together, as photogrammetry does with photographs, points and cameras: B. Triggs, P. McLauchlan, R.
// Hartley, A. Fitzgibbon, "Bundle adjustment - a modern synthesis", Vision Algorithms, 2000.
//
// Unknowns: (x, y, heading) of each node but the first; offset, slope and a range bias of each wall piece, and a bias
// that all pieces of one face of a wall share; the lidar's mounting, range scale, range offset and sweep time; the
// odometry's correction; the offset and rate of the lidar's clock. Measurements: the distance of each return from its
// wall piece; odometry between consecutive nodes; sightings of markers and their survey (graph/markers/marker_factors),
// which then sets the frame, lines on the floor that were followed (graph/markers/line_factors); lengths
// that a person measured (graph/adjust/length_evidence); priors of the constants. Each round pairs returns with pieces
// anew, eliminates the pieces (Schur complement) and solves for the rest; a step that makes things worse is damped, or
// not taken.
//
// The stages, in the order of one round: scan_correction, paired_walls, return_factor and wall_equations,
// odometry_factors, piece_elimination, damped_step; adjustment_round puts them together.

#include <functional>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "graph/adjust/chosen_nodes.hpp"
#include "graph/adjust/length_evidence.hpp"
#include "graph/adjust/return_factor.hpp"
#include "graph/constants.hpp"
#include "graph/map.hpp"
#include "graph/markers/line_agreement.hpp"
#include "graph/markers/marker_agreement.hpp"
#include "graph/track/keyframes.hpp"
#include "scanmatch/line_map.hpp"

namespace wainscot {

struct JointOptions {
  int rounds = 4;  ///< 1 or more: pairs are renewed and everything is solved at least this many times
  /// And until a round moves no node by this much: pairs that change as walls move do so round by round. A tenth of a
  /// cell of the grid shows nowhere.
  double settled_m = 0.005;
  int most_rounds = 20;  ///< what has not settled by then goes to and fro (chosen by hand)
  WallModel walls = {};
  MarkerEvidence markers = {};       ///< sightings at the given nodes
  LineEvidence lines = {};           ///< stretches at the given nodes
  LengthEvidence lengths = {};       ///< that were measured in the house
  std::vector<NodePair> pairs = {};  ///< whose relative covariance is asked for
};

/// How the rounds ended.
enum class AdjustmentEnd {
  settled,     ///< the last round moved nothing by much
  moving,      ///< the last round still moved a node by more than a cell of the map is wide
  cost_rose,   ///< a round's step, however much damped, made things worse: what was found before it stands
  unsolvable,  ///< a round's equations are singular or not finite: what was found before it stands
};

struct JointResult {
  std::vector<Keyframe> keyframes;  ///< with times on the wheels' clock and points corrected by the new path
  std::vector<Pose2> poses;
  std::vector<Eigen::Matrix3d> covariances;  ///< of the nodes against the first, tangent space of each node
  /// Of each node, not in the former: graph/adjust/loose_ties.hpp.
  std::vector<Eigen::Matrix3d> loose_ties;
  /// Of the pairs that were asked for, the pose of `to` in the frame of `from`, in its tangent space; none where one of
  /// the two took no part in the adjustment, or nothing could be solved.
  std::vector<std::optional<Eigen::Matrix3d>> pair_covariances;
  Constants constants;
  double middle_s = 0.0;  ///< see Constants::wheel_time_s
  ConstantMatrix constant_covariance;
  double lasting_turn_variance = 0.0;           ///< see graph/adjust/lasting_errors.hpp; not in the former
  NoiseRatio odometry_noise_ratio = kAsStated;  ///< found / stated noise: along, across, heading
  LineMap pieces;
  std::vector<double> piece_variances_m2;  ///< of each piece's place across, the nodes' poses as they are
  double residual_rms_m = 0.0;
  /// Of single ranges: stated, times what was found of it (graph/adjust/return_noise.hpp).
  RangeNoise range_noise = {};
  double variance_factor = 1.0;  ///< see graph/adjust/return_noise.hpp; not applied to any covariance here
  MapMarkers markers;
  MapLines lines;
  AdjustmentEnd end = AdjustmentEnd::settled;
  int rounds_done = 0;       ///< that took a step
  double last_move_m = 0.0;  ///< the farthest that the last of them moved a node

  bool converged() const { return end == AdjustmentEnd::settled; }
};

/// Where the nodes are many, those that tell nothing new (graph/adjust/thinning.hpp) take no part: they are matched
/// against the walls afterwards. `keyframes`: two or more. Where not even the first round can be solved, the poses come
/// back as they were given, a metre and a radian uncertain, the constants as robot.yaml states them: `end` tells.
JointResult adjust_jointly(const Drive& drive, const std::vector<OdometryStep>& steps, std::vector<Keyframe> keyframes,
                           std::vector<Pose2> poses, const JointOptions& options, int threads,
                           const std::function<void(double)>& progress);

}  // namespace wainscot
