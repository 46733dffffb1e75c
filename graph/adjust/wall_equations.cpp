#include "graph/adjust/wall_equations.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "graph/adjust/group_shares.hpp"
#include "graph/adjust/scan_correction.hpp"

namespace wainscot {
namespace {

/// Adds returns, one node after the other.
class Accumulator {
 public:
  Accumulator(const AdjustmentProblem& problem, const AdjustmentState& state, const PairedWalls& walls)
      : problem_(problem),
        state_(state),
        walls_(walls),
        noise_(state.range_noise(problem)),
        shares_(walls, noise_, state.return_noise.group_sd_m),
        slot_(walls.pieces.lines().size(), -1) {
    equations_.nodes.resize(state.poses.size());
    equations_.pieces.resize(walls.pieces.lines().size());
    lidar_m_ = state.constants.lidar(problem.drive.robot.lidar).mounting.translation();
  }

  void add_node(std::size_t k) {
    const std::vector<ScanPoint>& points = state_.keyframes[k].points;
    const MeasuringNode node{state_.poses[k], state_.poses[k].rotation().transpose(),
                             sweep_velocity(state_.keyframes, state_.poses, k), lidar_m_, noise_};
    const std::vector<double>& shares = shares_.of_node(k, points);
    const auto first = static_cast<std::int32_t>(equations_.couplings.size());
    for (std::size_t i = 0; i < points.size(); ++i) {
      const Line* line = walls_.shared_piece(k, i);
      if (line == nullptr) continue;
      const std::int32_t piece = walls_.piece_of[k][i];
      std::int32_t& place = slot_[static_cast<std::size_t>(piece)];
      if (place < first) {
        place = static_cast<std::int32_t>(equations_.couplings.size());
        equations_.couplings.push_back({piece, static_cast<std::int32_t>(k)});
      }
      ReturnFactor factor = return_factor(points[i], *line, node, problem_.walls.robust_ratio);
      factor.weight *= shares[i];
      add(factor, equations_.couplings[static_cast<std::size_t>(place)]);
    }
  }

  WallEquations take() {
    equations_.residual_rms_m = std::sqrt(weighted_squares_ / std::max(weights_, 1e-9));
    return std::move(equations_);
  }

 private:
  void add(const ReturnFactor& f, Coupling& coupling) {
    NodeBlock& node = equations_.nodes[static_cast<std::size_t>(coupling.node)];
    node.pose.noalias() += f.weight * f.by_pose * f.by_pose.transpose();
    node.pose_lidar.noalias() += f.weight * f.by_pose * f.by_lidar.transpose();
    node.gradient.noalias() += f.weight * f.across_m * f.by_pose;
    coupling.pose_piece.noalias() += f.weight * f.by_pose * f.by_piece.transpose();
    PieceBlock& piece = equations_.pieces[static_cast<std::size_t>(coupling.piece)];
    piece.piece.noalias() += f.weight * f.by_piece * f.by_piece.transpose();
    piece.lidar_piece.noalias() += f.weight * f.by_lidar * f.by_piece.transpose();
    piece.gradient.noalias() += f.weight * f.across_m * f.by_piece;
    equations_.lidar.noalias() += f.weight * f.by_lidar * f.by_lidar.transpose();
    equations_.lidar_gradient.noalias() += f.weight * f.across_m * f.by_lidar;
    weighted_squares_ += f.residual_m * f.residual_m / f.robust;
    weights_ += 1.0 / f.robust;
  }

  const AdjustmentProblem& problem_;
  const AdjustmentState& state_;
  const PairedWalls& walls_;
  RangeNoise noise_;
  GroupShares shares_;
  Eigen::Vector2d lidar_m_;
  std::vector<std::int32_t> slot_;  // where the coupling of a piece with the latest node stands
  WallEquations equations_;
  double weighted_squares_ = 0.0;
  double weights_ = 0.0;
};

}  // namespace

WallEquations wall_equations(const AdjustmentProblem& problem, const AdjustmentState& state, const PairedWalls& walls) {
  Accumulator accumulator(problem, state, walls);
  for (std::size_t k = 0; k < state.poses.size(); ++k) accumulator.add_node(k);
  return accumulator.take();
}

double wall_cost(const AdjustmentProblem& problem, const std::vector<Keyframe>& measured, const AdjustmentState& state,
                 const PairedWalls& walls) {
  const double robust2 = problem.walls.robust_ratio * problem.walls.robust_ratio;
  const RangeNoise noise = state.range_noise(problem);
  GroupShares shares(walls, noise, state.return_noise.group_sd_m);
  double sum = 0.0;
  for (std::size_t k = 0; k < measured.size(); ++k) {
    const std::vector<ScanPoint>& points = state.keyframes[k].points;
    if (points.size() != measured[k].points.size()) return std::numeric_limits<double>::infinity();
    const Eigen::Matrix2d rotation = state.poses[k].rotation();
    const std::vector<double>& of_returns = shares.of_node(k, measured[k].points);
    for (std::size_t i = 0; i < points.size(); ++i) {
      const Line* line = walls.shared_piece(k, i);
      if (line == nullptr) continue;
      const double off_m = distance_without_bias_m(points[i], *line, state.poses[k], rotation);
      const double variance = across_variance(measured[k].points[i], noise);
      sum += 0.5 * of_returns[i] * robust2 * std::log1p(off_m * off_m / (variance * robust2));
    }
  }
  return sum;
}

}  // namespace wainscot
