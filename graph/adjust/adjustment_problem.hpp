#pragma once

// What the joint adjustment starts from and does not change, and what it does change.

#include <vector>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "graph/adjust/length_evidence.hpp"
#include "graph/adjust/return_factor.hpp"
#include "graph/constants.hpp"
#include "graph/markers/line_factors.hpp"
#include "graph/markers/marker_factors.hpp"
#include "graph/track/keyframes.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {

/// The measurements and what is known of them beforehand. `drive` and `steps` have to outlive it.
struct AdjustmentProblem {
  const Drive& drive;
  const std::vector<OdometryStep>& steps;
  WallModel walls;
  std::vector<double> lidar_times_s;  ///< of each node's scan, lidar's clock
  double middle_s = 0.0;              ///< see Constants::wheel_time_s
  OdometryNoise odometry_noise;
  RangeNoise range_noise;               ///< as stated
  ConstantMatrix constant_information;  ///< inverse of constant_prior()
  LengthEvidence lengths = {};
};

/// Variance components of the returns (graph/adjust/return_noise.hpp).
struct ReturnNoise {
  double range_ratio = 1.0;  ///< found / stated noise of a single range
  double group_sd_m = 0.0;   ///< what the returns of one scan on one wall piece err by together
};

/// The unknowns' values, but for the wall pieces, which each round makes anew.
struct AdjustmentState {
  std::vector<Keyframe> keyframes;  ///< as scan_correction leaves them
  std::vector<Pose2> poses;         ///< of the keyframes, two or more
  Constants constants;
  MarkerFactors markers;
  LineFactors lines;
  NoiseRatio odometry_noise_ratio = kAsStated;  ///< found / stated noise: along, across, heading
  ReturnNoise return_noise = {};
  double face_bias_sd_m = WallModel().face_bias_sd_m;  ///< found, see graph/adjust/face_biases.hpp

  /// Of single ranges, as found.
  RangeNoise range_noise(const AdjustmentProblem& problem) const;
};

AdjustmentProblem adjustment_problem(const Drive& drive, const std::vector<OdometryStep>& steps,
                                     const std::vector<Keyframe>& keyframes, const WallModel& walls);

/// 0.5 * what the constants differ from robot.yaml, squared, by the prior; and from what measured lengths say.
double prior_cost(const AdjustmentProblem& problem, const Constants& constants);

}  // namespace wainscot
