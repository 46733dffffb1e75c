#pragma once

// The last word on accuracy: all nodes' poses, short pieces of wall that many scans share, and the robot's constants
// are estimated together, as photogrammetry does with photographs, points and cameras: B. Triggs, P. McLauchlan, R.
// Hartley, A. Fitzgibbon, "Bundle adjustment - a modern synthesis", Vision Algorithms, 2000.
//
// Unknowns: (x, y, heading) of each node but the first; offset, slope and a range bias of each wall piece, and a bias
// that all pieces of one face of a wall share; the lidar's mounting, range scale, range offset and sweep time; the
// odometry's correction; the offset and rate of the lidar's clock. Measurements: the distance of each return from its
// wall piece; odometry between consecutive nodes; sightings of markers and their survey (graph/markers/marker_factors),
// which then sets the frame; priors of the constants. Each round pairs returns with pieces anew, eliminates the pieces
// (Schur complement) and solves for the rest.

#include <array>
#include <cstdint>
#include <functional>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "graph/constants.hpp"
#include "graph/map.hpp"
#include "graph/markers/marker_agreement.hpp"
#include "graph/track/keyframes.hpp"
#include "scanmatch/line_map.hpp"

namespace wainscot {

struct JointOptions {
  int rounds = 4;                  ///< pairs are renewed and everything is solved this many times
  double face_bias_sd_m = 0.005;   ///< range bias of a surface: bright and dark walls differ by millimetres
  double piece_bias_sd_m = 0.002;  ///< by how much a piece differs from the face that it is part of
  double robust_ratio = 2.5;       ///< of the Cauchy weight: residual / its standard deviation
  MarkerEvidence markers = {};     ///< sightings at the given nodes
};

struct JointResult {
  std::vector<Keyframe> keyframes;  ///< with times on the wheels' clock and points corrected by the new path
  std::vector<Pose2> poses;
  std::vector<Eigen::Matrix3d> covariances;  ///< of the nodes against the first, tangent space of each node
  Constants constants;
  double middle_s = 0.0;  ///< see Constants::wheel_time_s
  ConstantMatrix constant_covariance;
  std::array<double, 3> odometry_noise_ratio{1.0, 1.0, 1.0};  ///< found / stated noise: along, across, heading
  LineMap pieces;
  double residual_rms_m = 0.0;
  MapMarkers markers;
};

/// Where the nodes are many, those that tell nothing new (graph/adjust/thinning.hpp) take no part: they are matched
/// against the walls afterwards.
JointResult adjust_jointly(const Drive& drive, const std::vector<OdometryStep>& steps, std::vector<Keyframe> keyframes,
                           std::vector<Pose2> poses, const JointOptions& options, int threads,
                           const std::function<void(double)>& progress);

}  // namespace wainscot
