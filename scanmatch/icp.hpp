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

/// "By hand": chosen by hand on simulated homes whose numbers were not kept.
struct IcpOptions {
  /// The gate takes four steps from `first_gate_m` to `last_gate_m`, quadratic convergence as many more, and pairs may
  /// change sides a few times. By hand.
  int max_iterations = 12;
  /// Pairs further apart are not pairs, at the first iteration: a turn of 5 degrees moves a wall 4 m off by so much. By
  /// hand; less than half of a doorway, so that its two sides are not taken for each other.
  double first_gate_m = 0.35;
  double last_gate_m = 0.09;  ///< and at the last ones: `gate_in_sd` times RangeNoise's default
  /// Of the Cauchy weight: `robust_in_sd` times RangeNoise's default.
  double robust_scale_m = 0.03;
  /// A pair's gate is at least so many standard deviations of its range's noise: beyond, one return in 10^9 is noise.
  double gate_in_sd = 6.0;
  /// The scale of a pair's weight in standard deviations of its range's noise. Of Gaussian noise a Cauchy weight with
  /// scale 2 leaves 92.6 % of the information, by (E psi')^2 / E psi^2; with 2.4 it would be 95 %. The smaller one
  /// minds outliers more.
  double robust_in_sd = 2.0;
  /// What all returns on one line share: the line's own place and the surface's range bias. By hand.
  double line_error_m = 0.006;
  /// Steps shorter than this (and stop_rad) end the iteration: a hundredth of what a match in a square room of 4 m is
  /// worth at best, and a fortieth of that in heading (`match_bound` prints both bounds).
  double stop_m = 2e-5;
  double stop_rad = 2e-5;
  /// Pairs are kept after a step shorter than this (a turn counts 2 m a radian: a wall's usual distance in a room): a
  /// fifth of RangeNoise's default, so hardly a return changes its line. By hand.
  double renew_m = 0.003;
  int oldest_node = 0;  ///< lines last touched before this node are passed over
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
