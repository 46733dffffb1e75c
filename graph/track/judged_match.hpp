#pragma once

// A scan beside the walls that the last metres have shown: where it fits best, and whether that may be believed.

#include "core/odometry.hpp"
#include "graph/track/keyframes.hpp"
#include "graph/track/predicted_step.hpp"
#include "graph/track/rejoining.hpp"
#include "graph/track/wall_evidence.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {

struct JudgedMatch {
  IcpResult found;
  double chi_squared = 0.0;  ///< of `found` against odometry, 3 degrees of freedom
  bool trusted = false;      ///< else odometry is all that is known of the way
};

struct MatchCircumstances {
  bool unknown = false;  ///< nothing is to be believed of the way since the last node
  bool search = true;    ///< look for better places within reach where the match is not clear
};

/// The match of `scan`, which `step` leads to from the last of `walls.poses`. `path`: of odometry; `rejoining`: of this
/// robot, asked where the way is unknown. `options`: its overlaps count.
JudgedMatch judged_match(const Keyframe& scan, const PredictedStep& step, const LocalWalls& walls,
                         const OdometryPath& path, const MatchCircumstances& circumstances,
                         const TrackingOptions& options, Rejoining& rejoining);

}  // namespace wainscot
