#pragma once

// Point-to-line ICP of one scan against a map of lines.
//
// Each iteration pairs every return with the line whose face it lies on and takes one Gauss-Newton step of the weighted
// distances; quadratic convergence near the solution: A. Censi, "An ICP variant using a point-to-line metric", ICRA
// 2008. The information matrix is the Fisher information of the pairs (A. Censi, "On achievable accuracy for
// range-finder localization", ICRA 2007), where all returns on one line share the error of that line, so that a
// thousand returns on one wall do not pretend to more than the wall's own place is worth.

#include <cstddef>
#include <cstdint>
#include <vector>

#include <Eigen/Core>

#include "core/pose2.hpp"
#include "scanmatch/line_map.hpp"
#include "scanmatch/motion_correction.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {

struct IcpOptions {
  int max_iterations = 12;
  double first_gate_m = 0.35;    ///< pairs further apart are not pairs, at the first iteration
  double last_gate_m = 0.09;     ///< and at the last ones: six times a hobby lidar's noise
  double robust_scale_m = 0.03;  ///< of the Cauchy weight; twice a hobby lidar's noise
  double gate_in_sd = 6.0;       ///< a pair's gate is at least so many standard deviations of its range's noise,
  double robust_in_sd = 2.0;     ///< and the scale of its weight as many times that noise as for a hobby lidar
  double line_error_m =
      0.006;             ///< what all returns on one line share: the line's own place and the surface's range bias
  double stop_m = 2e-5;  ///< steps shorter than this (and stop_rad) end the iteration
  double stop_rad = 2e-5;
  double renew_m = 0.003;  ///< pairs are kept after a step shorter than this (a turn counts 2 m a radian)
  int oldest_node = 0;     ///< lines last touched before this node are passed over
};

struct IcpResult {
  Pose2 pose;                                             ///< of the scan's robot frame in the map
  Eigen::Matrix3d information = Eigen::Matrix3d::Zero();  ///< of the pairs alone, in the tangent space of `pose`
  double overlap = 0.0;                                   ///< returns with a partner / returns with a normal
  double residual_rms_m = 0.0;                            ///< weighted, of the pairs
  int pairs = 0;
  int iterations = 0;
  bool converged = false;
};

/// Matches `points` (those with normals) from `predicted` on. `prior` is the information of `predicted` in its tangent
/// space (zero: none); it holds directions that the lines do not determine.
IcpResult match_icp(const std::vector<ScanPoint>& points, const LineMap& map, const RangeNoise& noise,
                    const Pose2& predicted, const Eigen::Matrix3d& prior, const IcpOptions& options = {});

/// What a match leaves open, by its information alone: standard deviations of the position in its least certain
/// direction and of the heading; 1000 m, 1000 rad where nothing is known.
struct LeftOpen {
  double position_m = 0.0;
  double heading_rad = 0.0;
};
LeftOpen left_open(const Eigen::Matrix3d& information);

/// Adds the returns with normals of a scan seen from `pose`, and fits. `oldest_node`: see LineMap::add.
void add_scan(LineMap& map, const std::vector<ScanPoint>& points, const Pose2& pose, const RangeNoise& noise, int node,
              int oldest_node = 0);

/// A return and the line that it was paired with, at one iteration.
struct TracedPair {
  std::size_t point = 0;    ///< index into the scan's points
  std::int32_t line = 0;    ///< index into the map's lines
  double distance_m = 0.0;  ///< signed, of the return from the line
  double weight = 0.0;      ///< the Cauchy weight, 0..1: what an outlier is still worth
};

/// One iteration: where it began, what it saw there, and the step that it took.
struct IcpIteration {
  Pose2 pose;           ///< before the step
  double gate_m = 0.0;  ///< within which the pairs were sought
  double residual_rms_m = 0.0;
  Tangent2 step = Tangent2::Zero();
  std::vector<TracedPair> pairs;
};

struct TracedMatch {
  IcpResult result;
  std::vector<IcpIteration> iterations;
};

/// All that `match_icp` is given, as a value: for looking at one match again.
struct MatchProblem {
  std::vector<ScanPoint> points;
  LineMap map;
  RangeNoise noise;
  Pose2 predicted;
  Eigen::Matrix3d prior = Eigen::Matrix3d::Zero();
  IcpOptions options;
};

/// The same match, to the last bit, with a record of each iteration.
TracedMatch trace_icp(const MatchProblem& problem);

/// Variance across a wall of a return on it: range noise by the cosine of incidence, and a floor for what is not noise.
double across_variance(const ScanPoint& point, const RangeNoise& noise);

}  // namespace wainscot
