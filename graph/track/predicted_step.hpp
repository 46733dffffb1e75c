#pragma once

// From a keyframe to the next as odometry tells it.

#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "core/pose2.hpp"
#include "graph/constants.hpp"

namespace wainscot {

struct PredictedStep {
  double from_s = 0.0;
  double to_s = 0.0;
  Pose2 predicted;
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();  ///< of `predicted`, in its tangent space
  bool unknown = false;                                  ///< odometry says nothing of the way: anything within reach
  bool guessed = false;  ///< `predicted` is a guess nevertheless: of each unknown step the motion is (is_guess())
};

/// Says of a way of unknown length no more than how far a robot can have come in `time_s`: an information matrix.
Eigen::Matrix3d within_reach(double time_s);

/// Predicts the keyframes of one drive.
class StepPrediction {
 public:
  /// The steps and the path along them are to outlive this.
  StepPrediction(const Drive& drive, const std::vector<OdometryStep>& steps, const OdometryPath& path);

  /// The step from `pose` at `from_s` to a scan at `to_s`. `surprise`: by what factor the matches so far lie further
  /// from odometry than its noise says, as variance; below 1 it counts as 1.
  PredictedStep step(const Pose2& pose, double from_s, double to_s, double surprise) const;

 private:
  const std::vector<OdometryStep>& steps_;
  const OdometryPath& path_;
  OdometryNoise noise_;
  ConstantMatrix constant_prior_;
  bool has_gyro_;
};

}  // namespace wainscot
