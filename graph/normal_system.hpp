#pragma once

// The normal equations of a least-squares problem, matrix * step = right side, filled block by block, and the Cholesky
// factor that solves them. How the matrix is stored is known in this file and in those of its two factors only.

#include <cstddef>
#include <cstdint>
#include <deque>
#include <variant>
#include <vector>

#include <Eigen/Core>
#include <Eigen/SparseCore>

#include "graph/dense_factor.hpp"
#include "graph/sparse_factor.hpp"

namespace wainscot {

/// The equations. The matrix is symmetric: blocks of its lower triangle are filled, and those on the diagonal whole. It
/// is kept in square tiles, and only those that something was added to: in a large building most nodes have no wall in
/// common.
class NormalSystem {
 public:
  /// All zero.
  explicit NormalSystem(Eigen::Index size);

  Eigen::Index size() const { return right_side_.size(); }

  /// Adds to the block whose upper left corner is (row, column), row >= column.
  template <typename Derived>
  void add(Eigen::Index row, Eigen::Index column, const Eigen::MatrixBase<Derived>& summand) {
    const typename Derived::PlainObject block = summand;
    constexpr int kRows = Derived::RowsAtCompileTime;
    constexpr int kColumns = Derived::ColsAtCompileTime;
    const Eigen::Index in_row = row % kTile;
    const Eigen::Index in_column = column % kTile;
    if (in_row + block.rows() <= kTile && in_column + block.cols() <= kTile) {
      tile(row / kTile, column / kTile)
          .template block<kRows, kColumns>(in_row, in_column, block.rows(), block.cols()) += block;
      return;
    }
    for (Eigen::Index c = 0; c < block.cols(); ++c) {
      for (Eigen::Index r = 0; r < block.rows(); ++r) {
        if (row + r >= column + c) entry(row + r, column + c) += block(r, c);
      }
    }
  }

  /// One entry, row >= column.
  double& entry(Eigen::Index row, Eigen::Index column) {
    return tile(row / kTile, column / kTile)(row % kTile, column % kTile);
  }

  /// The rows of the right side from `row` on, to be added to.
  template <int Rows>
  auto right_side(Eigen::Index row) {
    return right_side_.segment<Rows>(row);
  }
  auto right_side(Eigen::Index row, Eigen::Index rows) { return right_side_.segment(row, rows); }
  const Eigen::VectorXd& right_side() const { return right_side_; }

  /// The whole matrix.
  Eigen::MatrixXd dense() const;

  /// Its lower triangle without what is zero. Diagonal blocks of three are whole, even where they hold zeros.
  Eigen::SparseMatrix<double> sparse() const;

  /// Values that are not zero / all of them, in the lower triangle.
  double share_filled() const;

 private:
  /// Eight nodes: a node's three unknowns lie in one tile.
  static constexpr Eigen::Index kTile = 24;
  using Tile = Eigen::Matrix<double, kTile, kTile>;

  Tile& tile(Eigen::Index row, Eigen::Index column) {
    std::int32_t& place = places_[static_cast<std::size_t>(row * (row + 1) / 2 + column)];
    if (place < 0) {
      place = static_cast<std::int32_t>(tiles_.size());
      tiles_.emplace_back(Tile::Zero());
    }
    return tiles_[static_cast<std::size_t>(place)];
  }
  /// Calls use(tile, row, column) with the place of the tile's upper left corner, column by column of tiles.
  template <typename Use>
  void for_each_tile(const Use& use) const;

  std::vector<std::int32_t> places_;  ///< in `tiles_`, of the lower triangle row by row; below 0: nothing there
  std::deque<Tile> tiles_;            ///< entries above the diagonal mean nothing
  Eigen::VectorXd right_side_;
};

/// The factor of a system's matrix, dense or sparse, whichever takes less time; both give the same to rounding.
class NormalFactor {
 public:
  explicit NormalFactor(const NormalSystem& system);

  bool is_sparse() const { return std::holds_alternative<SparseFactor>(factor_); }

  /// Factors matrix + damping * its diagonal (D. Marquardt, "An algorithm for least-squares estimation of nonlinear
  /// parameters", J. SIAM 11(2), 1963); `damping` 0: the matrix as it is. May be called again with another. False: that
  /// is not positive definite, or not finite, and nothing below may be asked for.
  bool factorise(double damping = 0.0);

  Eigen::VectorXd solution() const { return solution(right_side_); }
  /// For another right side than the system's.
  Eigen::VectorXd solution(const Eigen::VectorXd& right_side) const;

  /// Of `count` unknowns from `first` on: their rows and columns of the matrix' inverse. Cheap for the last ones.
  Eigen::MatrixXd covariance(Eigen::Index first, Eigen::Index count) const;

  /// Of linear functions of the unknowns, each a column.
  Eigen::MatrixXd covariance_of(const Eigen::MatrixXd& functions) const;

  /// Of the first `blocks` groups of three unknowns, each by itself.
  std::vector<Eigen::Matrix3d> covariances_of_three(std::size_t blocks) const;

 private:
  std::variant<DenseFactor, SparseFactor> factor_;
  Eigen::VectorXd right_side_;
};

}  // namespace wainscot
