#include "graph/track/predicted_step.hpp"

#include <algorithm>

#include <Eigen/Dense>

namespace wainscot {

Eigen::Matrix3d within_reach(double time_s) {
  constexpr double kFastM_S = 1.0;     // indoor robots keep to a walking pace
  constexpr double kAnyHeading = 0.1;  // 1 / (3.2 rad)^2: any heading
  const double reach_m = std::min(100.0, 1.0 + kFastM_S * time_s);
  return Eigen::Vector3d(1.0 / (reach_m * reach_m), 1.0 / (reach_m * reach_m), kAnyHeading).asDiagonal();
}

StepPrediction::StepPrediction(const Drive& drive, const std::vector<OdometryStep>& steps, const OdometryPath& path)
    : steps_(steps),
      path_(path),
      noise_(odometry_noise(drive.robot)),
      constant_prior_(constant_prior(drive)),
      has_gyro_(!drive.gyro.empty()) {}

PredictedStep StepPrediction::step(const Pose2& pose, double from_s, double to_s, double surprise) const {
  // Standard deviation of a motion of which nothing is known; ten times as much does the same.
  constexpr double kNothingM = 10.0;
  PredictedStep step;
  step.from_s = from_s;
  step.to_s = to_s;
  step.predicted = pose * between(path_.pose_at(from_s), path_.pose_at(to_s));
  step.covariance = stretch_covariance(steps_, noise_, from_s, to_s);
  step.covariance.diagonal() += constants_variance(constant_prior_, path_, from_s, to_s, has_gyro_);
  step.covariance *= std::max(1.0, surprise);
  step.unknown = step.covariance(0, 0) > kNothingM * kNothingM;
  if (step.unknown) {
    step.covariance = within_reach(to_s - from_s).inverse();
    const auto first = std::upper_bound(steps_.begin(), steps_.end(), from_s,
                                        [](double t, const OdometryStep& s) { return t < s.end_s; });
    const auto last = std::find_if(first, steps_.end(), [to_s](const OdometryStep& s) { return s.begin_s >= to_s; });
    step.guessed = std::none_of(first, last, [](const OdometryStep& s) { return s.unknown && !s.is_guess(); });
  }
  return step;
}

}  // namespace wainscot
