#include "graph/calibrate/run_end.hpp"

#include <cmath>
#include <cstddef>

namespace wainscot {
namespace {

/// The run as odometry sees it, a second a step.
std::vector<OdometryStep> steps_of(const std::vector<WheelCounts>& wheels, const WheelGeometry& geometry,
                                   const OdometryNoise& noise) {
  std::vector<OdometryStep> steps;
  for (std::size_t i = 1; i < wheels.size(); ++i) {
    const double l = static_cast<double>(wheels[i].left_ticks - wheels[i - 1].left_ticks) * geometry.left_m_per_tick;
    const double r = static_cast<double>(wheels[i].right_ticks - wheels[i - 1].right_ticks) * geometry.right_m_per_tick;
    OdometryStep step;
    step.begin_s = static_cast<double>(i - 1);
    step.end_s = static_cast<double>(i);
    step.motion = {0.5 * (l + r), 0.0, (r - l) / geometry.track_width_m};
    step.rolled_m = 0.5 * (std::abs(l) + std::abs(r));
    step.turn_variance_rad2 = noise.sd_rad_per_sqrt_rad * noise.sd_rad_per_sqrt_rad * std::abs(step.motion.z()) +
                              noise.sd_rad_per_sqrt_m * noise.sd_rad_per_sqrt_m * std::abs(step.motion.x());
    steps.push_back(step);
  }
  return steps;
}

/// Totals are one long arc, over which sideways noise of the heading's wandering is cut into pieces to be right.
std::vector<WheelCounts> in_pieces(const CalibrationRun& run) {
  constexpr int kPieces = 20;  // right to (1 / 20)^2, a quarter of a per cent
  if (run.whole_path) return run.wheels;
  std::vector<WheelCounts> pieces;
  for (int i = 0; i <= kPieces; ++i) {
    pieces.push_back({0.0,
                      static_cast<std::int64_t>(std::lround(net_ticks(run, &WheelCounts::left_ticks) * i / kPieces)),
                      static_cast<std::int64_t>(std::lround(net_ticks(run, &WheelCounts::right_ticks) * i / kPieces))});
  }
  return pieces;
}

}  // namespace

double net_ticks(const CalibrationRun& run, std::int64_t WheelCounts::*wheel) {
  return static_cast<double>(run.wheels.back().*wheel - run.wheels.front().*wheel);
}

Pose2 end_of_run(const std::vector<WheelCounts>& wheels, const WheelGeometry& geometry) {
  Pose2 pose;
  for (std::size_t i = 1; i < wheels.size(); ++i) {
    const double left = static_cast<double>(wheels[i].left_ticks - wheels[i - 1].left_ticks) * geometry.left_m_per_tick;
    const double right =
        static_cast<double>(wheels[i].right_ticks - wheels[i - 1].right_ticks) * geometry.right_m_per_tick;
    pose = pose * exp({0.5 * (left + right), 0.0, (right - left) / geometry.track_width_m});
  }
  return pose;
}

Eigen::Matrix3d scatter_of_end(const std::vector<WheelCounts>& wheels, const WheelGeometry& geometry,
                               const OdometryNoise& noise) {
  const std::vector<OdometryStep> steps = steps_of(wheels, geometry, noise);
  return stretch_covariance(steps, noise, 0.0, steps.back().end_s);
}

Eigen::Matrix3d covariance_of_end(const CalibrationRun& run, const WheelGeometry& geometry, const OdometryNoise& noise,
                                  const TapeSd& tape) {
  const std::vector<WheelCounts> wheels = in_pieces(run);
  const Pose2 end = end_of_run(wheels, geometry);
  const Eigen::Matrix3d on_the_way = scatter_of_end(wheels, geometry, noise);
  Eigen::Matrix3d to_start = Eigen::Matrix3d::Zero();  // (forward, left, heading) of the end to (turn, left, forward)
  to_start(kEndTurn, 2) = 1.0;
  to_start.block<1, 2>(kEndLeft, 0) = end.rotation().row(1);
  to_start.block<1, 2>(kEndForward, 0) = end.rotation().row(0);
  Eigen::Matrix3d covariance = to_start * on_the_way * to_start.transpose();
  const double sd_m = run.sd_m.value_or(tape.length_m);
  const double sd_rad = run.sd_rad.value_or(tape.turn_rad);
  const Eigen::Vector3d by_alignment(0.0, -end.x_m, end.y_m);
  covariance += sd_rad * sd_rad * by_alignment * by_alignment.transpose();
  covariance.diagonal() += Eigen::Vector3d(sd_rad * sd_rad, sd_m * sd_m, sd_m * sd_m);
  return covariance;
}

}  // namespace wainscot
