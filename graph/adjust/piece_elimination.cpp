#include "graph/adjust/piece_elimination.hpp"

#include <algorithm>
#include <span>
#include <vector>

#include <Eigen/Dense>

namespace wainscot {
namespace {

std::int32_t face_of(const WallFaces& faces, std::int32_t piece) {
  return faces.of_piece[static_cast<std::size_t>(piece)];
}

/// Offset and slope are free but for what keeps the matrix regular: a prior about the anchor would hold the house's
/// size. Only the bias has one.
Eigen::Matrix3d with_prior(const PieceBlock& block, bool on_face, const WallModel& model) {
  constexpr double kFree = 1e-2;  // a standard deviation of 10 m, or of 10 of slope: nothing beside a single return
  const double bias_sd_m = on_face ? model.piece_bias_sd_m : model.face_bias_sd_m;
  Eigen::Matrix3d matrix = block.piece;
  matrix.diagonal() += Eigen::Vector3d(kFree, kFree, 1.0 / (bias_sd_m * bias_sd_m));
  return matrix;
}

/// What acts on nodes and the lidar's constants alone.
void add_nodes(const WallEquations& equations, const UnknownLayout& layout, NormalSystem& system) {
  const Eigen::Index c0 = layout.constants();
  for (std::size_t k = 1; k < equations.nodes.size(); ++k) {
    const NodeBlock& node = equations.nodes[k];
    system.add(layout.node(k), layout.node(k), node.pose);
    system.add(c0, layout.node(k), node.pose_lidar.transpose());
    system.right_side<3>(layout.node(k)) -= node.gradient;
  }
  system.add(c0, c0, equations.lidar);
  system.right_side<kLidarConstants>(c0) -= equations.lidar_gradient;
}

/// A face's bias acts on a return like its piece's: the third of the piece's own unknowns.
void add_faces(const WallEquations& equations, const WallFaces& faces, const UnknownLayout& layout,
               const WallModel& model, NormalSystem& system) {
  const Eigen::Index c0 = layout.constants();
  for (std::size_t j = 0; j < equations.pieces.size(); ++j) {
    const Eigen::Index face = layout.face(faces.of_piece[j]);
    if (face < 0) continue;
    const PieceBlock& block = equations.pieces[j];
    system.entry(face, face) += block.piece(2, 2);
    system.add(face, c0, block.lidar_piece.col(2).transpose());
    system.right_side<1>(face)[0] -= block.gradient[2];
  }
  for (const Coupling& c : equations.couplings) {
    const Eigen::Index face = layout.face(face_of(faces, c.piece));
    if (face < 0 || c.node == 0) continue;
    system.add(face, layout.node(static_cast<std::size_t>(c.node)), c.pose_piece.col(2).transpose());
  }
  for (std::int32_t f = 0; f < layout.faces; ++f) {
    system.entry(layout.face(f), layout.face(f)) += 1.0 / (model.face_bias_sd_m * model.face_bias_sd_m);
  }
}

/// Subtracts coupling * inverse * coupling^T of one piece. `couplings`: of the piece, by node.
void eliminate(const PieceBlock& block, const Eigen::Matrix3d& inverse, Eigen::Index face,
               std::span<const Coupling> couplings, const UnknownLayout& layout, NormalSystem& system) {
  const Eigen::Index c0 = layout.constants();
  const Eigen::RowVector3d face_side = block.piece.row(2) * inverse;
  if (face >= 0) {
    system.entry(face, face) -= face_side.dot(block.piece.row(2));
    system.add(face, c0, -(face_side * block.lidar_piece.transpose()));
    system.right_side<1>(face)[0] += face_side.dot(block.gradient);
  }
  const Eigen::Matrix<double, kLidarConstants, 3> lidar_side = block.lidar_piece * inverse;
  system.add(c0, c0, -(lidar_side * block.lidar_piece.transpose()));
  system.right_side<kLidarConstants>(c0) += lidar_side * block.gradient;
  for (std::size_t i = 0; i < couplings.size(); ++i) {
    const Coupling& a = couplings[i];
    if (a.node == 0) continue;
    const Eigen::Index row = layout.node(static_cast<std::size_t>(a.node));
    const Eigen::Matrix3d side = a.pose_piece * inverse;
    system.right_side<3>(row) += side * block.gradient;
    system.add(c0, row, -(block.lidar_piece * side.transpose()));
    if (face >= 0) system.add(face, row, -(face_side * a.pose_piece.transpose()));
    for (std::size_t j = 0; j <= i; ++j) {
      const Coupling& b = couplings[j];
      if (b.node == 0) continue;
      system.add(row, layout.node(static_cast<std::size_t>(b.node)), -(side * b.pose_piece.transpose()));
    }
  }
}

}  // namespace

void add_walls(const WallEquations& equations, const WallFaces& faces, const UnknownLayout& layout,
               const WallModel& model, NormalSystem& system) {
  add_nodes(equations, layout, system);
  add_faces(equations, faces, layout, model, system);
  std::vector<Coupling> couplings = equations.couplings;
  std::stable_sort(couplings.begin(), couplings.end(),
                   [](const Coupling& a, const Coupling& b) { return a.piece < b.piece; });
  for (std::size_t begin = 0, end = 0; begin < couplings.size(); begin = end) {
    const std::int32_t piece = couplings[begin].piece;
    while (end < couplings.size() && couplings[end].piece == piece) ++end;
    const PieceBlock& block = equations.pieces[static_cast<std::size_t>(piece)];
    const Eigen::Index face = layout.face(face_of(faces, piece));
    eliminate(block, with_prior(block, face >= 0, model).inverse(), face,
              std::span(couplings).subspan(begin, end - begin), layout, system);
  }
}

void move_pieces(const WallEquations& equations, const UnknownLayout& layout, const WallModel& model,
                 const Eigen::VectorXd& step, PairedWalls& walls) {
  std::vector<Eigen::Vector3d> right(equations.pieces.size());
  const LidarVector lidar_step = step.segment<kLidarConstants>(layout.constants());
  for (std::size_t j = 0; j < right.size(); ++j) {
    right[j] = -equations.pieces[j].gradient - equations.pieces[j].lidar_piece.transpose() * lidar_step;
  }
  for (const Coupling& c : equations.couplings) {
    if (c.node == 0) continue;
    right[static_cast<std::size_t>(c.piece)] -=
        c.pose_piece.transpose() * step.segment<3>(layout.node(static_cast<std::size_t>(c.node)));
  }
  for (std::size_t j = 0; j < right.size(); ++j) {
    Line& line = walls.pieces.mutable_lines()[j];
    if (line.nodes < 2) continue;
    const Eigen::Index face = layout.face(walls.faces.of_piece[j]);
    const double face_bias_m = face < 0 ? 0.0 : step[face];
    right[j] -= equations.pieces[j].piece.col(2) * face_bias_m;
    const Eigen::Vector3d found = with_prior(equations.pieces[j], face >= 0, model).inverse() * right[j];
    line.normal = line.fitted_normal;
    line.set_fit(found[0], found[1]);
    line.range_bias_m = face_bias_m + found[2];
  }
}

std::vector<double> piece_variances_m2(const WallEquations& equations, const WallFaces& faces, const WallModel& model) {
  std::vector<double> variances_m2(equations.pieces.size());
  for (std::size_t j = 0; j < variances_m2.size(); ++j) {
    const bool on_face = faces.of_piece[j] != WallFaces::kNone;
    variances_m2[j] = with_prior(equations.pieces[j], on_face, model).inverse()(0, 0);
  }
  return variances_m2;
}

}  // namespace wainscot
