#include "graph/adjust/piece_elimination.hpp"

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/adjust/still_nodes.hpp"

namespace wainscot {
namespace {

constexpr double kFree = 1e-2;  // what keeps a piece's offset and slope regular

/// The same equations with all pieces behind the other unknowns, three each, nothing eliminated.
struct Whole {
  Eigen::MatrixXd matrix;
  Eigen::VectorXd right_side;

  Whole(const WallEquations& e, const WallFaces& faces, const UnknownLayout& layout, const WallModel& model) {
    const Eigen::Index first = layout.size();
    const Eigen::Index size = first + 3 * static_cast<Eigen::Index>(e.pieces.size());
    const Eigen::Index c0 = layout.constants();
    matrix.setZero(size, size);
    right_side.setZero(size);
    const auto add = [&](Eigen::Index row, Eigen::Index column, const Eigen::MatrixXd& block) {
      if (row < 0 || column < 0) return;
      matrix.block(row, column, block.rows(), block.cols()) += block;
      if (row != column) matrix.block(column, row, block.cols(), block.rows()) += block.transpose();
    };
    for (std::size_t k = 1; k < e.nodes.size(); ++k) {
      add(layout.node(k), layout.node(k), e.nodes[k].pose);
      add(c0, layout.node(k), e.nodes[k].pose_lidar.transpose());
      right_side.segment<3>(layout.node(k)) -= e.nodes[k].gradient;
    }
    add(c0, c0, e.lidar);
    right_side.segment<kLidarConstants>(c0) -= e.lidar_gradient;
    for (std::size_t j = 0; j < e.pieces.size(); ++j) {
      const Eigen::Index at = first + 3 * static_cast<Eigen::Index>(j);
      const Eigen::Index face = layout.face(faces.of_piece[j]);
      const double sd = face < 0 ? model.face_bias_sd_m : model.piece_bias_sd_m;
      Eigen::Matrix3d own = e.pieces[j].piece;
      own.diagonal() += Eigen::Vector3d(kFree, kFree, 1.0 / (sd * sd));
      add(at, at, own);
      add(at, c0, e.pieces[j].lidar_piece.transpose());
      right_side.segment<3>(at) -= e.pieces[j].gradient;
      if (face < 0) continue;
      add(face, face, e.pieces[j].piece.block(2, 2, 1, 1));
      add(face, c0, e.pieces[j].lidar_piece.col(2).transpose());
      add(at, face, e.pieces[j].piece.col(2));
      right_side[face] -= e.pieces[j].gradient[2];
    }
    for (const Coupling& c : e.couplings) {
      const Eigen::Index node = layout.node(static_cast<std::size_t>(c.node));
      add(first + 3 * c.piece, node, c.pose_piece.transpose());
      add(layout.face(faces.of_piece[static_cast<std::size_t>(c.piece)]), node, c.pose_piece.col(2).transpose());
    }
    for (std::int32_t f = 0; f < layout.faces; ++f) {
      matrix(layout.face(f), layout.face(f)) += 1.0 / (model.face_bias_sd_m * model.face_bias_sd_m);
    }
  }
};

// Solved at once and with the pieces eliminated, everything comes out the same.
TEST(PieceElimination, GivesWhatTheWholeSystemGives) {
  const StillNodes still;
  const AdjustmentProblem problem = still.problem();
  std::vector<Pose2> poses = still.truth;
  for (std::size_t k = 1; k < poses.size(); ++k) poses[k] = poses[k] * Pose2{0.004, -0.003, 0.002};
  const AdjustmentState state = still.state(poses);
  PairedWalls walls = paired_walls(state.keyframes, state.poses, problem.range_noise);
  ASSERT_GT(walls.faces.count, 0);
  const WallEquations equations = wall_equations(problem, state, walls);
  const UnknownLayout layout{poses.size(), walls.faces.count, 0};
  NormalSystem system(layout.size());
  add_walls(equations, walls.faces, layout, problem.walls, system);
  Whole whole(equations, walls.faces, layout, problem.walls);
  for (Eigen::Index i = layout.constants(); i < layout.constants() + kConstants; ++i) {
    system.entry(i, i) += 1e4;
    whole.matrix(i, i) += 1e4;
  }
  NormalFactor factor(std::move(system));
  ASSERT_TRUE(factor.factorise());
  const Eigen::VectorXd step = factor.solution();
  const Eigen::VectorXd at_once = whole.matrix.llt().solve(whole.right_side);
  EXPECT_GT(step.norm(), 1e-3);
  EXPECT_LT((step - at_once.head(layout.size())).norm(), 1e-6 * step.norm());

  move_pieces(equations, layout, problem.walls, step, walls);
  for (std::size_t j = 0; j < equations.pieces.size(); ++j) {
    const Line& line = walls.pieces.lines()[j];
    if (line.nodes < 2) continue;
    const Eigen::Vector3d piece = at_once.segment<3>(layout.size() + 3 * static_cast<Eigen::Index>(j));
    const Eigen::Index face = layout.face(walls.faces.of_piece[j]);
    EXPECT_NEAR(line.offset_m, piece[0], 1e-7) << j;
    EXPECT_NEAR(line.slope, piece[1], 1e-5) << j;
    EXPECT_NEAR(line.range_bias_m, piece[2] + (face < 0 ? 0.0 : at_once[face]), 1e-7) << j;
  }
}

TEST(PieceElimination, APieceIsAsSureAsReturnsAndSurfaceLeaveIt) {
  constexpr double kSdM = 0.01;
  constexpr double kReturns = 400.0;
  WallEquations equations;
  PieceBlock seen_squarely;  // along_beam is -1 throughout: offset and bias cannot be told apart
  seen_squarely.piece(0, 0) = seen_squarely.piece(2, 2) = kReturns / (kSdM * kSdM);
  seen_squarely.piece(0, 2) = seen_squarely.piece(2, 0) = -kReturns / (kSdM * kSdM);
  seen_squarely.piece(1, 1) = 0.01 * kReturns / (kSdM * kSdM);
  equations.pieces = {seen_squarely, seen_squarely};
  const WallModel model;
  const std::vector<double> variances = piece_variances_m2(equations, {{WallFaces::kNone, 0}, 1}, model);
  const double by_returns = kSdM * kSdM / kReturns;
  EXPECT_NEAR(variances[0], by_returns + model.face_bias_sd_m * model.face_bias_sd_m, 1e-8);
  EXPECT_NEAR(variances[1], by_returns + model.piece_bias_sd_m * model.piece_bias_sd_m, 1e-8);
}

}  // namespace
}  // namespace wainscot
