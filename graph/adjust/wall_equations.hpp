#pragma once

// The normal equations of all returns, with the wall pieces still among the unknowns: blocks of nodes, of pieces, of
// the lidar's constants, and those between them that are not zero.

#include <cstdint>
#include <vector>

#include <Eigen/Core>

#include "graph/adjust/adjustment_problem.hpp"
#include "graph/adjust/paired_walls.hpp"
#include "graph/adjust/return_factor.hpp"

namespace wainscot {

/// Of one node (its motion in its own frame) and the lidar's constants.
struct NodeBlock {
  Eigen::Matrix3d pose = Eigen::Matrix3d::Zero();
  Eigen::Matrix<double, 3, kLidarConstants> pose_lidar = Eigen::Matrix<double, 3, kLidarConstants>::Zero();
  Eigen::Vector3d gradient = Eigen::Vector3d::Zero();
};

/// Of one wall piece (offset, slope, bias) and the lidar's constants.
struct PieceBlock {
  Eigen::Matrix3d piece = Eigen::Matrix3d::Zero();
  Eigen::Matrix<double, kLidarConstants, 3> lidar_piece = Eigen::Matrix<double, kLidarConstants, 3>::Zero();
  Eigen::Vector3d gradient = Eigen::Vector3d::Zero();
};

/// Of one node with one wall piece.
struct Coupling {
  std::int32_t piece;
  std::int32_t node;
  Eigen::Matrix3d pose_piece = Eigen::Matrix3d::Zero();
};

struct WallEquations {
  std::vector<NodeBlock> nodes;
  std::vector<PieceBlock> pieces;
  std::vector<Coupling> couplings;  ///< node by node
  LidarMatrix lidar = LidarMatrix::Zero();
  LidarVector lidar_gradient = LidarVector::Zero();
  double residual_rms_m = 0.0;  ///< robustly weighted
};

/// Of all returns on pieces that two nodes or more have seen. The pieces' offsets, slopes and biases count from 0 at
/// their anchors, the other unknowns from the state's values.
WallEquations wall_equations(const AdjustmentProblem& problem, const AdjustmentState& state, const PairedWalls& walls);

/// 0.5 * sum of the robust squares of the returns' distances from their pieces, biases taken off, each by its standard
/// deviation. `measured`: the keyframes that `walls` was made of, which say how well; `state`: with keyframes of the
/// same scans, whose points are counted. Infinite where a range has become negative. Biases' priors are not in it.
double wall_cost(const AdjustmentProblem& problem, const std::vector<Keyframe>& measured, const AdjustmentState& state,
                 const PairedWalls& walls);

}  // namespace wainscot
