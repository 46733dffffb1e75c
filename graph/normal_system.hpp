#pragma once

// The normal equations of a least-squares problem, matrix * step = right side, filled block by block, and the Cholesky
// factor that solves them. How the matrix is stored is known in this file only.

#include <vector>

#include <Eigen/Core>

namespace wainscot {

/// The equations. The matrix is symmetric: blocks of its lower triangle are filled, and those on the diagonal whole.
class NormalSystem {
 public:
  /// All zero.
  explicit NormalSystem(Eigen::Index size)
      : matrix_(Eigen::MatrixXd::Zero(size, size)), right_side_(Eigen::VectorXd::Zero(size)) {}

  Eigen::Index size() const { return right_side_.size(); }

  /// The block whose upper left corner is (row, column), row >= column, to be added to.
  template <int Rows, int Columns>
  auto block(Eigen::Index row, Eigen::Index column) {
    return matrix_.block<Rows, Columns>(row, column);
  }
  auto block(Eigen::Index row, Eigen::Index column, Eigen::Index rows, Eigen::Index columns) {
    return matrix_.block(row, column, rows, columns);
  }
  double& entry(Eigen::Index row, Eigen::Index column) { return matrix_(row, column); }

  /// The rows of the right side from `row` on, to be added to.
  template <int Rows>
  auto right_side(Eigen::Index row) {
    return right_side_.segment<Rows>(row);
  }
  auto right_side(Eigen::Index row, Eigen::Index rows) { return right_side_.segment(row, rows); }
  const Eigen::VectorXd& right_side() const { return right_side_; }

  /// The whole matrix, to look at.
  Eigen::MatrixXd dense() const { return matrix_.selfadjointView<Eigen::Lower>(); }

 private:
  friend class NormalFactor;
  Eigen::MatrixXd matrix_;
  Eigen::VectorXd right_side_;
};

/// The factor L of a system's matrix, in the place of the matrix: that of a large building is most of the memory in
/// use.
class NormalFactor {
 public:
  explicit NormalFactor(NormalSystem system);

  /// Factors matrix + damping * its diagonal (D. Marquardt, "An algorithm for least-squares estimation of nonlinear
  /// parameters", J. SIAM 11(2), 1963); `damping` 0: the matrix as it is. May be called again with another. False: that
  /// is not positive definite, or not finite, and nothing below may be asked for.
  bool factorise(double damping = 0.0);

  Eigen::VectorXd solution() const;

  /// Of `count` unknowns from `first` on: their rows and columns of the matrix' inverse. Cheap for the last ones.
  Eigen::MatrixXd covariance(Eigen::Index first, Eigen::Index count) const;

  /// Of the first `blocks` groups of three unknowns, each by itself.
  std::vector<Eigen::Matrix3d> covariances_of_three(std::size_t blocks) const;

 private:
  /// L^-1 times the unit vectors of `count` unknowns from `first` on, without the rows above, which are zero.
  Eigen::MatrixXd unit_by_factor(Eigen::Index first, Eigen::Index count) const;

  Eigen::MatrixXd matrix_;  ///< below and on the diagonal: the factor; above: the matrix itself, for another damping
  Eigen::VectorXd diagonal_;
  Eigen::VectorXd right_side_;
};

}  // namespace wainscot
