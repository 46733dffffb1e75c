#include "scanmatch/icp.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

namespace wainscot {
namespace {

/// Information where nothing is known: 1000 m and 1000 rad, so that matrices can be inverted.
constexpr double kNothingKnown = 1e-6;

// How the gate follows the steps down. By hand, on simulated homes whose numbers were not kept.
constexpr double kLeverM = 2.0;       // a wall's usual distance in a room: what a turn moves returns by
constexpr double kGateInSteps = 3.0;  // the next step is shorter than this one: such a gate leaves room for it
constexpr double kGateShrinks = 0.6;  // and no faster than this

struct Pair {
  std::size_t point;
  std::int32_t line;
  double distance_m;
  Eigen::Vector3d jacobian;  // of the distance, in the tangent space of the pose
  double variance_m2;
  double robust_scale_m;  // of the Cauchy weight
};

/// Which line each return with a normal lies on, seen from `pose`.
void find_pairs(const std::vector<ScanPoint>& points, const LineMap& map, const RangeNoise& noise, const Pose2& pose,
                double gate_m, const IcpOptions& options, std::vector<Pair>& pairs) {
  pairs.clear();
  const double c = std::cos(pose.heading_rad);
  const double s = std::sin(pose.heading_rad);
  std::int32_t found = LineMap::kNone;  // neighbouring beams mostly fall on one line
  for (std::size_t i = 0; i < points.size(); ++i) {
    const ScanPoint& p = points[i];
    if (!p.has_normal()) continue;
    const Eigen::Vector2d world(pose.x_m + c * p.x_m - s * p.y_m, pose.y_m + s * p.x_m + c * p.y_m);
    const Eigen::Vector2d normal(c * p.normal_x - s * p.normal_y, s * p.normal_x + c * p.normal_y);
    const double noise_m = noise.at(p.range_m);
    const double own_gate_m = std::clamp(options.gate_in_sd * noise_m, gate_m, std::max(gate_m, options.first_gate_m));
    found = map.find(world, normal, own_gate_m, options.oldest_node, found);
    if (found != LineMap::kNone) {
      pairs.push_back({i, found, 0.0, Eigen::Vector3d::Zero(), across_variance(p, noise),
                       std::max(options.robust_scale_m, options.robust_in_sd * noise_m)});
    }
  }
}

/// Distances of the pairs and their derivatives at `pose`.
void measure_pairs(const std::vector<ScanPoint>& points, const LineMap& map, const Pose2& pose,
                   std::vector<Pair>& pairs) {
  const double c = std::cos(pose.heading_rad);
  const double s = std::sin(pose.heading_rad);
  for (Pair& pair : pairs) {
    const ScanPoint& p = points[pair.point];
    const Line& line = map.lines()[static_cast<std::size_t>(pair.line)];
    const Eigen::Vector2d world(pose.x_m + c * p.x_m - s * p.y_m, pose.y_m + s * p.x_m + c * p.y_m);
    const Eigen::Vector2d& n = line.fitted_normal;
    const Eigen::Vector2d in_robot(c * n.x() + s * n.y(), -s * n.x() + c * n.y());
    // A range that is too long by the surface's bias puts the return behind the wall.
    const double behind = line.range_bias_m * (in_robot.x() * p.beam_x + in_robot.y() * p.beam_y);
    pair.distance_m = line.distance_of(world) - behind;
    pair.jacobian = {in_robot.x(), in_robot.y(), in_robot.y() * p.x_m - in_robot.x() * p.y_m};
  }
}

/// What the pairs seem to know only because the lines' normals are noisy: walls along a corridor whose fitted normals
/// point a little forwards here and backwards there look like walls across it. The expected value of that part is
/// sum w * var(normal) * J_t J_t^T, with J_t the Jacobian of the normal turned by 90 degrees (the bias of least squares
/// with errors in the variables: W. Fuller, "Measurement Error Models", 1987, section 2.2). Taken twice, since the sum
/// scatters about its expectation. What is left has no negative eigenvalue.
Eigen::Matrix3d without_noise_of_normals(const std::vector<ScanPoint>& points, const LineMap& map,
                                         const std::vector<Pair>& pairs, const Eigen::Matrix3d& information) {
  constexpr double kTimes = 2.0;  // by hand, on simulated homes whose numbers were not kept
  Eigen::Matrix3d spurious = Eigen::Matrix3d::Zero();
  for (const Pair& pair : pairs) {
    const ScanPoint& p = points[pair.point];
    const double ratio = pair.distance_m / pair.robust_scale_m;
    const double weight =
        map.lines()[static_cast<std::size_t>(pair.line)].slope_variance / (pair.variance_m2 * (1.0 + ratio * ratio));
    const double x = -pair.jacobian.y();
    const double y = pair.jacobian.x();
    const Eigen::Vector3d turned(x, y, y * p.x_m - x * p.y_m);
    spurious.noalias() += weight * turned * turned.transpose();
  }
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> rest(information - kTimes * spurious);
  return rest.eigenvectors() * rest.eigenvalues().cwiseMax(0.0).asDiagonal() * rest.eigenvectors().transpose();
}

/// Adds to each pair's variance its share of the error that all pairs of its line have in common: N pairs of variance
/// v + N * e each carry together the information 1 / (v / N + e).
void share_line_errors(const LineMap& map, double line_error_m, std::vector<Pair>& pairs, std::vector<float>& counts) {
  counts.assign(map.lines().size(), 0.0F);
  for (const Pair& pair : pairs) counts[static_cast<std::size_t>(pair.line)] += 1.0F;
  for (Pair& pair : pairs) {
    pair.variance_m2 += static_cast<double>(counts[static_cast<std::size_t>(pair.line)]) * line_error_m * line_error_m;
  }
}

/// What one iteration saw, before its step.
IcpIteration record(const Pose2& pose, double gate_m, const std::vector<Pair>& pairs) {
  IcpIteration iteration;
  iteration.pose = pose;
  iteration.gate_m = gate_m;
  for (const Pair& pair : pairs) {
    const double ratio = pair.distance_m / pair.robust_scale_m;
    iteration.pairs.push_back({pair.point, pair.line, pair.distance_m, 1.0 / (1.0 + ratio * ratio)});
  }
  return iteration;
}

/// The match; `iterations`, where it is not null, gets a record of each.
IcpResult matched(const std::vector<ScanPoint>& points, const LineMap& map, const RangeNoise& noise,
                  const Pose2& predicted, const Eigen::Matrix3d& prior, const IcpOptions& options,
                  std::vector<IcpIteration>* iterations) {
  IcpResult result;
  result.pose = predicted;
  double gate = options.first_gate_m;
  std::vector<float> counts;
  std::vector<Pair> pairs;
  pairs.reserve(points.size());
  bool renew = true;
  for (result.iterations = 1; result.iterations <= options.max_iterations; ++result.iterations) {
    if (renew) {
      find_pairs(points, map, noise, result.pose, gate, options, pairs);
      share_line_errors(map, options.line_error_m, pairs, counts);
    }
    measure_pairs(points, map, result.pose, pairs);
    if (iterations != nullptr) iterations->push_back(record(result.pose, gate, pairs));
    Eigen::Matrix3d information = Eigen::Matrix3d::Zero();
    Eigen::Vector3d gradient = Eigen::Vector3d::Zero();
    double squares = 0.0;
    double weights = 0.0;
    for (const Pair& pair : pairs) {
      const double ratio = pair.distance_m / pair.robust_scale_m;
      const double robust = 1.0 / (1.0 + ratio * ratio);
      const double weight = robust / pair.variance_m2;
      information.noalias() += weight * pair.jacobian * pair.jacobian.transpose();
      gradient.noalias() += weight * pair.distance_m * pair.jacobian;
      squares += robust * pair.distance_m * pair.distance_m;
      weights += robust;
    }
    result.pairs = static_cast<int>(pairs.size());
    result.information = information;
    result.residual_rms_m = weights > 0.0 ? std::sqrt(squares / weights) : 0.0;
    const Tangent2 from_prediction = log(between(predicted, result.pose));
    const Eigen::Matrix3d normal_matrix = information + prior + kNothingKnown * Eigen::Matrix3d::Identity();
    const Tangent2 step = -normal_matrix.ldlt().solve(gradient + prior * from_prediction);
    if (iterations != nullptr) {
      iterations->back().step = step;
      iterations->back().residual_rms_m = result.residual_rms_m;
    }
    result.pose = result.pose * exp(step);
    const bool small = step.head<2>().norm() < options.stop_m && std::abs(step.z()) < options.stop_rad;
    if (small && gate <= options.last_gate_m) {
      result.converged = true;
      break;
    }
    // The gate follows the steps down, so that far pairs help to find the place and do not spoil it.
    const double moved = step.head<2>().norm() + kLeverM * std::abs(step.z());
    const double reach = kGateInSteps * moved;
    // Returns change their lines only where the scan moved by a good part of the noise.
    renew = gate > options.last_gate_m || moved > options.renew_m;
    gate = std::clamp(reach, options.last_gate_m, std::max(options.last_gate_m, kGateShrinks * gate));
  }
  result.iterations = std::min(result.iterations, options.max_iterations);
  result.information = without_noise_of_normals(points, map, pairs, result.information);
  const auto with_normal =
      std::count_if(points.begin(), points.end(), [](const ScanPoint& p) { return p.has_normal(); });
  result.overlap = with_normal > 0 ? static_cast<double>(result.pairs) / static_cast<double>(with_normal) : 0.0;
  return result;
}

}  // namespace

LeftOpen left_open(const Eigen::Matrix3d& information) {
  const Eigen::Matrix3d covariance = (information + kNothingKnown * Eigen::Matrix3d::Identity()).inverse();
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> position(covariance.topLeftCorner<2, 2>());
  return {std::sqrt(position.eigenvalues()[1]), std::sqrt(covariance(2, 2))};
}

void add_scan(LineMap& map, const std::vector<ScanPoint>& points, const Pose2& pose, const RangeNoise& noise, int node,
              int oldest_node) {
  const Eigen::Matrix2d rotation = pose.rotation();
  for (const ScanPoint& p : points) {
    if (!p.has_normal()) continue;
    map.add(pose * Eigen::Vector2d(p.x_m, p.y_m), rotation * Eigen::Vector2d(p.normal_x, p.normal_y),
            1.0 / across_variance(p, noise), node, oldest_node, {p.spacing_m, noise.at(p.range_m)});
  }
  map.fit();
}

double across_variance(const ScanPoint& point, const RangeNoise& noise) {
  // Walls are not flat, beams have width: a spot of 5 mrad on a wall that leaves the beam at 10 degrees is 0.15 m long
  // at 5 m, along which a wall that bends or is rough by millimetres gives the range where most light comes back. By
  // hand, on simulated homes whose numbers were not kept.
  constexpr double kFloorM = 0.004;
  const double cosine = point.normal_x * point.beam_x + point.normal_y * point.beam_y;
  const double sd = noise.at(point.range_m) * cosine;
  return sd * sd + kFloorM * kFloorM;
}

IcpResult match_icp(const std::vector<ScanPoint>& points, const LineMap& map, const RangeNoise& noise,
                    const Pose2& predicted, const Eigen::Matrix3d& prior, const IcpOptions& options) {
  return matched(points, map, noise, predicted, prior, options, nullptr);
}

TracedMatch trace_icp(const MatchProblem& problem) {
  TracedMatch traced;
  traced.result = matched(problem.points, problem.map, problem.noise, problem.predicted, problem.prior, problem.options,
                          &traced.iterations);
  return traced;
}

}  // namespace wainscot
