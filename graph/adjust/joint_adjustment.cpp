#include "graph/adjust/joint_adjustment.hpp"

#include <algorithm>
#include <optional>
#include <utility>

#include "graph/adjust/adjustment_round.hpp"
#include "graph/adjust/chosen_nodes.hpp"
#include "graph/adjust/clock_errors.hpp"
#include "graph/adjust/lasting_errors.hpp"
#include "graph/adjust/resection.hpp"
#include "graph/adjust/return_noise.hpp"
#include "graph/adjust/scan_correction.hpp"

namespace wainscot {
namespace {

/// The farthest that a node was moved.
double largest_move_m(const std::vector<Pose2>& before, const std::vector<Pose2>& after) {
  double largest_m = 0.0;
  for (std::size_t k = 0; k < before.size(); ++k) {
    largest_m = std::max(largest_m, (after[k].translation() - before[k].translation()).norm());
  }
  return largest_m;
}

AdjustmentEnd end_of(StepEnd last, double last_move_m) {
  constexpr double kCellM = 0.05;  // what still moves by a cell of the grid when rounds end is not settled
  if (last == StepEnd::cost_rose) return AdjustmentEnd::cost_rose;
  if (last == StepEnd::unsolvable) return AdjustmentEnd::unsolvable;
  return last_move_m > kCellM ? AdjustmentEnd::moving : AdjustmentEnd::settled;
}

/// Of the unknowns of markers and of lines, and the variances of the faces' range biases.
struct OwnCovariances {
  bool known = false;  ///< the equations could be solved
  Eigen::MatrixXd markers;
  Eigen::MatrixXd lines;
  Eigen::VectorXd faces;
};

/// How uncertain everything is, from the last round's equations.
OwnCovariances find_covariances(const Drive& drive, AdjustmentRound& round, JointResult& result) {
  const UnknownLayout& layout = round.layout;
  // Damping is no measurement: the equations as they are, where they can be solved.
  bool usable = round.step.end == StepEnd::taken && round.step.damping == 0.0;
  if (!usable) usable = round.factor.factorise() || round.factor.factorise(round.step.damping);
  result.covariances.assign(1, Eigen::Matrix3d::Zero());
  if (!usable) {
    result.covariances.resize(layout.nodes, Eigen::Matrix3d::Identity());
    result.constant_covariance = constant_prior(drive);
    return {false, Eigen::MatrixXd::Identity(layout.marker_unknowns, layout.marker_unknowns),
            Eigen::MatrixXd::Identity(layout.line_unknowns, layout.line_unknowns), Eigen::VectorXd::Ones(layout.faces)};
  }
  const std::vector<Eigen::Matrix3d> moving = round.factor.covariances_of_three(layout.nodes - 1);
  result.covariances.insert(result.covariances.end(), moving.begin(), moving.end());
  result.constant_covariance = round.factor.covariance(layout.constants(), kConstants);
  return {true, round.factor.covariance(layout.markers(), layout.marker_unknowns),
          round.factor.covariance(layout.lines(), layout.line_unknowns),
          round.factor.covariance(layout.constants() + kConstants, layout.faces).diagonal()};
}

/// Of each pair the pose of `to` in the frame of `from`; none of a pair that is no two nodes.
std::vector<std::optional<Eigen::Matrix3d>> relative_covariances(const AdjustmentRound& round,
                                                                 const std::vector<NodePair>& pairs) {
  if (pairs.empty()) return {};
  const auto count = static_cast<Eigen::Index>(pairs.size());
  Eigen::MatrixXd derivatives = Eigen::MatrixXd::Zero(round.layout.size(), 3 * count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const NodePair& pair = pairs[static_cast<std::size_t>(i)];
    if (pair.from == pair.to) continue;
    const Pose2 relative = between(round.moved.poses[pair.from], round.moved.poses[pair.to]);
    derivatives.block<3, 3>(round.layout.node(pair.to), 3 * i).setIdentity();
    if (pair.from == 0) continue;  // it does not move
    derivatives.block<3, 3>(round.layout.node(pair.from), 3 * i) = -adjoint(inverse(relative)).transpose();
  }
  const Eigen::MatrixXd covariance = round.factor.covariance_of(derivatives);
  std::vector<std::optional<Eigen::Matrix3d>> of_pairs(pairs.size());
  for (Eigen::Index i = 0; i < count; ++i) {
    const NodePair& pair = pairs[static_cast<std::size_t>(i)];
    if (pair.from != pair.to) of_pairs[static_cast<std::size_t>(i)] = covariance.block<3, 3>(3 * i, 3 * i);
  }
  return of_pairs;
}

/// A face whose range bias is off by a millimetre lies off by that, seen squarely.
void add_face_variances(const AdjustmentRound& round, const Eigen::VectorXd& of_faces,
                        std::vector<double>& piece_variances_m2) {
  for (std::size_t j = 0; j < piece_variances_m2.size(); ++j) {
    const std::int32_t face = round.walls.faces.of_piece[j];
    if (face != WallFaces::kNone) piece_variances_m2[j] += of_faces[face];
  }
}

/// A node's pose is that of one moment of odometry's path: it errs by what the path errs there by as well.
void add_count_errors(const Drive& drive, const std::vector<OdometryStep>& steps, JointResult& result) {
  const LidarModel lidar = result.constants.lidar(drive.robot.lidar);
  const auto at = [&](std::size_t i) {
    const Keyframe& keyframe = result.keyframes[i];
    return count_covariance(steps, keyframe.time_s, sweep_duration_s(drive.scans[keyframe.scan], lidar));
  };
  const Eigen::Matrix3d of_first = at(0);
  for (std::size_t i = 1; i < result.poses.size(); ++i) {
    result.covariances[i] += at(i) + carried(of_first, between(result.poses[0], result.poses[i]));
  }
}

/// The nodes of `first` alone; their scans are corrected.
JointResult adjust_nodes(const AdjustmentProblem& problem, const AdjustmentState& first, const JointOptions& options,
                         const std::function<void(double)>& progress) {
  JointResult result;
  std::optional<AdjustmentRound> round;
  for (int done = 1;; ++done) {
    AdjustmentState begun = round ? std::move(round->moved) : AdjustmentState(first);
    round.reset();  // its matrix is most of the memory in use
    round.emplace(adjustment_round(problem, std::move(begun)));
    if (progress) progress(std::min(1.0, static_cast<double>(done) / options.rounds));
    if (round->step.end != StepEnd::taken) break;
    ++result.rounds_done;
    result.last_move_m = largest_move_m(round->begun.poses, round->moved.poses);
    // What is stated of the last round's equations is what they were made with.
    if (done >= options.most_rounds || (done >= options.rounds && result.last_move_m < options.settled_m)) break;
    round->moved.return_noise = found_return_noise(problem, round->moved, round->walls);
  }
  const OwnCovariances own = find_covariances(problem.drive, *round, result);
  result.pair_covariances.resize(options.pairs.size());
  if (own.known) result.pair_covariances = relative_covariances(*round, options.pairs);
  round->moved.odometry_noise_ratio = round->begun.odometry_noise_ratio;  // that the covariance was made with
  result.lasting_turn_variance = lasting_turn_variance(odometry_factors(problem, round->moved),
                                                       result.constant_covariance(kTurnScale, kTurnScale));
  result.end = end_of(round->step.end, result.last_move_m);
  result.residual_rms_m = round->residual_rms_m;
  const RangeNoise stated = range_noise(problem.drive.robot.lidar);
  const double range_ratio = round->moved.return_noise.range_ratio;
  result.range_noise = {range_ratio * stated.near_m, range_ratio * stated.per_m};
  result.variance_factor = variance_factor(problem, round->moved, round->walls);
  result.keyframes = std::move(round->begun.keyframes);
  result.poses = std::move(round->moved.poses);
  result.constants = round->moved.constants;
  result.middle_s = problem.middle_s;
  result.odometry_noise_ratio = round->begun.odometry_noise_ratio;
  result.piece_variances_m2 = std::move(round->piece_variances_m2);
  add_face_variances(*round, own.faces, result.piece_variances_m2);
  result.pieces = std::move(round->walls.pieces);
  result.markers = round->moved.markers.account(result.poses, own.markers);
  result.lines = round->moved.lines.account(result.poses, own.lines, round->moved.markers.survey());
  return result;
}

}  // namespace

JointResult adjust_jointly(const Drive& drive, const std::vector<OdometryStep>& steps, std::vector<Keyframe> keyframes,
                           std::vector<Pose2> poses, const JointOptions& options, int threads,
                           const std::function<void(double)>& progress) {
  NodesBefore nodes{std::move(keyframes), std::move(poses), {}};
  nodes.adjusted = chosen_nodes(nodes.poses, options.markers, options.lines);
  std::vector<Keyframe> chosen_keyframes;
  std::vector<Pose2> chosen_poses;
  for (const std::size_t i : nodes.adjusted) {
    chosen_keyframes.push_back(nodes.keyframes[i]);
    chosen_poses.push_back(nodes.poses[i]);
  }
  AdjustmentProblem problem = adjustment_problem(drive, steps, chosen_keyframes, options.walls);
  problem.lengths = options.lengths;
  problem.constant_information = with_wider_scales(problem.constant_information, options.lengths.widening);
  MarkerFactors markers(at_chosen(options.markers, nodes.adjusted), chosen_poses);
  LineFactors lines(at_chosen(options.lines, nodes.adjusted), chosen_poses);
  AdjustmentState state{std::move(chosen_keyframes), std::move(chosen_poses), {}, std::move(markers), std::move(lines)};
  correct_scans(problem, state);
  JointOptions of_chosen = options;
  of_chosen.pairs = at_chosen(options.pairs, nodes.adjusted);
  JointResult adjusted = adjust_nodes(problem, state, of_chosen, progress);
  adjusted = with_resected(drive, steps, std::move(nodes), std::move(adjusted), threads);
  add_count_errors(drive, steps, adjusted);
  const ClockErrors of_clock(drive, steps, adjusted);
  for (std::size_t i = 1; i < adjusted.poses.size(); ++i) adjusted.covariances[i] += of_clock.covariance(0, i);
  for (std::size_t i = 0; i < options.pairs.size(); ++i) {
    std::optional<Eigen::Matrix3d>& covariance = adjusted.pair_covariances[i];
    if (covariance) *covariance += of_clock.covariance(options.pairs[i].from, options.pairs[i].to);
  }
  return adjusted;
}

}  // namespace wainscot
