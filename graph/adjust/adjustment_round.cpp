#include "graph/adjust/adjustment_round.hpp"

#include <cmath>
#include <utility>
#include <vector>

#include "graph/adjust/face_biases.hpp"
#include "graph/adjust/odometry_factors.hpp"
#include "graph/adjust/odometry_noise.hpp"
#include "graph/adjust/piece_elimination.hpp"
#include "graph/adjust/scan_correction.hpp"
#include "graph/adjust/wall_equations.hpp"

namespace wainscot {
namespace {

std::vector<double> node_times_s(const AdjustmentState& state) {
  std::vector<double> times_s;
  times_s.reserve(state.keyframes.size());
  for (const Keyframe& k : state.keyframes) times_s.push_back(k.time_s);
  return times_s;
}

WallModel wall_model(const AdjustmentProblem& problem, const AdjustmentState& state) {
  WallModel model = problem.walls;
  model.face_bias_sd_m = state.face_bias_sd_m;
  return model;
}

/// What the solved equations say of the noise with which they were made.
void find_noise(const AdjustmentRound& round, const std::vector<OdometryFactor>& odometry, AdjustmentState& moved) {
  moved.odometry_noise_ratio =
      found_odometry_noise(odometry, round.begun.odometry_noise_ratio, round.factor, round.layout);
  moved.face_bias_sd_m =
      found_face_bias_sd_m(round.factor.solution(), round.layout, round.factor, round.begun.face_bias_sd_m);
}

void begin_markers(const AdjustmentProblem& problem, AdjustmentState& state) {
  if (state.markers.unknowns() == 0) return;
  const OdometryPath path(problem.steps, state.constants.odometry());
  if (const auto survey = state.markers.survey()) state.lines.bring_into(inverse(survey->frame));
  state.markers.begin_round(problem.drive, path, node_times_s(state), state.poses);
}

/// All measurements of a round, linearised where it began.
struct Linearised {
  PairedWalls walls;
  WallEquations returns;
  std::vector<OdometryFactor> odometry;
};

Linearised linearised(const AdjustmentProblem& problem, const AdjustmentState& begun) {
  Linearised at;
  at.walls = paired_walls(begun.keyframes, begun.poses, begun.range_noise(problem));
  at.returns = wall_equations(problem, begun, at.walls);
  at.odometry = odometry_factors(problem, begun);
  return at;
}

NormalSystem system_of(const AdjustmentProblem& problem, const Linearised& at, const UnknownLayout& layout,
                       AdjustmentState& begun) {
  NormalSystem system(layout.size());
  const Eigen::Index c0 = layout.constants();
  const ConstantMatrix information = problem.constant_information + problem.lengths.information;
  system.add(c0, c0, information);
  system.right_side<kConstants>(c0) += problem.lengths.pull - information * begun.constants.change;
  add_walls(at.returns, at.walls.faces, layout, wall_model(problem, begun), system);
  add_odometry(at.odometry, layout, system);
  FactorTarget target{system, [&layout](std::size_t node) { return layout.node(node); }, c0 + kRangeScale,
                      layout.markers()};
  begun.markers.add_to(target, begun.poses);
  target.first_column = layout.lines();
  begun.lines.add_to(target, begun.poses, begun.markers.survey(layout.markers()));
  return system;
}

double cost_of(const AdjustmentProblem& problem, const Linearised& at, const AdjustmentState& begun,
               const AdjustmentState& state, const PairedWalls& walls) {
  return wall_cost(problem, begun.keyframes, state, walls) + odometry_cost(problem, at.odometry, state) +
         state.markers.cost(state.poses) + state.lines.cost(state.poses, state.markers.survey()) +
         prior_cost(problem, state.constants);
}

void move(const AdjustmentProblem& problem, const UnknownLayout& layout, const Eigen::VectorXd& step,
          AdjustmentState& state) {
  for (std::size_t k = 1; k < state.poses.size(); ++k) {
    state.poses[k] = state.poses[k] * exp(step.segment<3>(layout.node(k)));
  }
  state.constants.change += step.segment<kConstants>(layout.constants());
  state.markers.move(step.segment(layout.markers(), layout.marker_unknowns));
  state.lines.move(step.segment(layout.lines(), layout.line_unknowns));
  correct_scans(problem, state);
}

}  // namespace

AdjustmentRound adjustment_round(const AdjustmentProblem& problem, AdjustmentState state) {
  AdjustmentState begun = std::move(state);
  begin_markers(problem, begun);
  Linearised at = linearised(problem, begun);
  const UnknownLayout layout{begun.poses.size(), at.walls.faces.count, begun.markers.unknowns(),
                             begun.lines.unknowns()};
  NormalFactor factor(system_of(problem, at, layout, begun));

  AdjustmentState moved = begun;
  const WallModel model = wall_model(problem, begun);
  PairedWalls walls = at.walls;
  DampedStep step = damped_step(factor, cost_of(problem, at, begun, begun, at.walls), [&](const Eigen::VectorXd& by) {
    moved.poses = begun.poses;
    moved.constants = begun.constants;
    moved.markers = begun.markers;
    moved.lines = begun.lines;
    move(problem, layout, by, moved);
    walls.pieces = at.walls.pieces;
    move_pieces(at.returns, layout, model, by, walls);
    return cost_of(problem, at, begun, moved, walls);
  });
  if (step.end != StepEnd::taken) {
    moved = begun;
    walls = std::move(at.walls);
  }
  std::vector<double> piece_variances = piece_variances_m2(at.returns, walls.faces, model);
  AdjustmentRound round{std::move(begun),  std::move(moved), std::move(walls),           layout,
                        std::move(factor), std::move(step),  std::move(piece_variances), at.returns.residual_rms_m};
  if (round.step.end == StepEnd::taken && round.step.damping == 0.0) find_noise(round, at.odometry, round.moved);
  return round;
}

}  // namespace wainscot
