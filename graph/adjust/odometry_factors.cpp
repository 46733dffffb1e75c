#include "graph/adjust/odometry_factors.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

namespace wainscot {
namespace {

using ByConstants = Eigen::Matrix<double, 3, kConstants>;

constexpr double kRobustSquared = 9.0;  // Cauchy: a slip of three standard deviations counts half

/// What odometry says of the way from node i to node i + 1 with given constants.
Pose2 driven(const AdjustmentProblem& problem, const OdometryPath& path, std::size_t i, const Constants& constants) {
  return between(path.pose_at(constants.wheel_time_s(problem.lidar_times_s[i], problem.middle_s)),
                 path.pose_at(constants.wheel_time_s(problem.lidar_times_s[i + 1], problem.middle_s)));
}

/// Across a break any number of turns may lie between the two.
Tangent2 odometry_error(const Pose2& measured, const Pose2& actual) {
  Pose2 error = between(measured, actual);
  error.heading_rad = wrap_angle(error.heading_rad);
  return log(error);
}

/// For each node but the last.
std::vector<Tangent2> residuals_of(const AdjustmentProblem& problem, const std::vector<Pose2>& poses,
                                   const Constants& constants) {
  const OdometryPath path(problem.steps, constants.odometry());
  std::vector<Tangent2> residuals;
  residuals.reserve(poses.size());
  for (std::size_t i = 0; i + 1 < poses.size(); ++i) {
    residuals.push_back(odometry_error(driven(problem, path, i, constants), between(poses[i], poses[i + 1])));
  }
  return residuals;
}

/// Mean of the steps' `value` between two times, each step weighed by its `weight`; 0 where they have none.
template <typename Value, typename Weight>
double weighed_mean(const std::vector<OdometryStep>& steps, double from_s, double to_s, const Value& value,
                    const Weight& weight) {
  double sum = 0.0;
  double weights = 0.0;
  auto step =
      std::upper_bound(steps.begin(), steps.end(), from_s, [](double t, const OdometryStep& s) { return t < s.end_s; });
  for (; step != steps.end() && step->begin_s < to_s; ++step) {
    sum += value(*step) * weight(*step);
    weights += weight(*step);
  }
  return weights > 0.0 ? sum / weights : 0.0;
}

/// Share of turning in the way between two times: the steps' own, weighed by the way that each went. Of a stretch that
/// begins with a turn on the spot and goes on straight ahead, all of the way is straight.
double turn_share(const std::vector<OdometryStep>& steps, double from_s, double to_s) {
  return weighed_mean(
      steps, from_s, to_s, [](const OdometryStep& s) { return s.turn_share; },
      [](const OdometryStep& s) { return s.motion.head<2>().norm(); });
}

/// The gyro's share in what odometry says of the turn between two times.
double gyro_share(const std::vector<OdometryStep>& steps, double from_s, double to_s) {
  return weighed_mean(
      steps, from_s, to_s, [](const OdometryStep& s) { return s.gyro_share; },
      [](const OdometryStep& s) { return std::abs(s.motion.z()); });
}

/// How the residuals change with odometry's constants, one constant after the other: a path for each of them at once
/// would be the most memory that a long drive needs.
std::vector<ByConstants> residuals_by_constants(const AdjustmentProblem& problem, const AdjustmentState& state,
                                                const std::vector<Tangent2>& residuals) {
  std::vector<ByConstants> derivatives(residuals.size(), ByConstants::Zero());
  for (int c = kDistanceScale; c < kConstants; ++c) {
    const double delta = c == kClockRate ? 1e-5 : 1e-4;
    Constants changed = state.constants;
    changed.change[c] += delta;
    const std::vector<Tangent2> others = residuals_of(problem, state.poses, changed);
    for (std::size_t i = 0; i < residuals.size(); ++i) derivatives[i].col(c) = (others[i] - residuals[i]) / delta;
  }
  for (std::size_t i = 0; i < residuals.size(); ++i) {
    ByConstants& by_constants = derivatives[i];
    const double from_s = state.keyframes[i].time_s;
    const double to_s = state.keyframes[i + 1].time_s;
    // As with the range scale: the noise is that of the wheels' own measure, and of the gyro's where it has a share. A
    // scale that the measure has no part in must not be turned by the noise: each residual would pull the same way.
    by_constants.col(kDistanceScale).head<2>() -= residuals[i].head<2>();
    const double by_gyro = gyro_share(problem.steps, from_s, to_s);
    by_constants(2, kTurnScale) -= (1.0 - by_gyro) * residuals[i][2];
    by_constants(2, kGyroScale) -= by_gyro * residuals[i][2];
    // Of the way that the robot really went: on the spot, the recorded one is noise alone.
    by_constants.col(kSlipInTurns) = turn_share(problem.steps, from_s, to_s) * by_constants.col(kDistanceScale);
  }
  return derivatives;
}

}  // namespace

std::vector<OdometryFactor> odometry_factors(const AdjustmentProblem& problem, const AdjustmentState& state) {
  const std::vector<Tangent2> residuals = residuals_of(problem, state.poses, state.constants);
  const std::vector<ByConstants> by_constants = residuals_by_constants(problem, state, residuals);
  const NoiseRatio& ratio = state.odometry_noise_ratio;
  const Eigen::Vector3d least = 1e-6 * Eigen::Vector3d(ratio[0], ratio[1], ratio[2]).cwiseAbs2();
  std::vector<OdometryFactor> factors(residuals.size());
  for (std::size_t i = 0; i < factors.size(); ++i) {
    OdometryFactor& f = factors[i];
    f.residual = residuals[i];
    f.by_constants = by_constants[i];
    Eigen::Matrix3d covariance = stretch_covariance(problem.steps, problem.odometry_noise, state.keyframes[i].time_s,
                                                    state.keyframes[i + 1].time_s, ratio);
    covariance.diagonal() += least;
    const Eigen::Matrix3d slip =
        slip_covariance(problem.steps, state.keyframes[i].time_s, state.keyframes[i + 1].time_s);
    f.may_slip = slip.trace() > 0.0;
    covariance += slip;
    f.covariance = covariance;
    f.information = covariance.inverse();
    f.robust = 1.0 + f.residual.dot(f.information * f.residual) / kRobustSquared;
    f.by_to = right_jacobian_inverse(f.residual);
    f.by_from = -f.by_to * adjoint(inverse(between(state.poses[i], state.poses[i + 1])));
  }
  return factors;
}

void add_odometry(const std::vector<OdometryFactor>& factors, const UnknownLayout& layout, NormalSystem& system) {
  const Eigen::Index c0 = layout.constants();
  for (std::size_t i = 0; i < factors.size(); ++i) {
    const OdometryFactor& f = factors[i];
    const Eigen::Matrix3d information = f.information / f.robust;
    const Eigen::Index to = layout.node(i + 1);
    system.add(to, to, f.by_to.transpose() * information * f.by_to);
    system.right_side<3>(to) -= f.by_to.transpose() * information * f.residual;
    system.add(c0, to, f.by_constants.transpose() * information * f.by_to);
    system.add(c0, c0, f.by_constants.transpose() * information * f.by_constants);
    system.right_side<kConstants>(c0) -= f.by_constants.transpose() * information * f.residual;
    if (i == 0) continue;
    const Eigen::Index from = layout.node(i);
    system.add(from, from, f.by_from.transpose() * information * f.by_from);
    system.add(to, from, f.by_to.transpose() * information * f.by_from);
    system.add(c0, from, f.by_constants.transpose() * information * f.by_from);
    system.right_side<3>(from) -= f.by_from.transpose() * information * f.residual;
  }
}

double odometry_cost(const AdjustmentProblem& problem, const std::vector<OdometryFactor>& factors,
                     const AdjustmentState& state) {
  const std::vector<Tangent2> residuals = residuals_of(problem, state.poses, state.constants);
  double sum = 0.0;
  for (std::size_t i = 0; i < factors.size(); ++i) {
    const double chi_squared = residuals[i].dot(factors[i].information * residuals[i]);
    sum += 0.5 * kRobustSquared * std::log1p(chi_squared / kRobustSquared);
  }
  return sum;
}

}  // namespace wainscot
