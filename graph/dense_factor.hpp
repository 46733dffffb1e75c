#pragma once

// The Cholesky factor of a symmetric matrix of which most values are not zero.

#include <cstddef>
#include <vector>

#include <Eigen/Core>

namespace wainscot {

/// The factor is kept in the place of the matrix: that of a large system is most of the memory in use.
class DenseFactor {
 public:
  /// `matrix`: square, symmetric, both triangles filled.
  explicit DenseFactor(Eigen::MatrixXd matrix);

  /// Factors matrix + damping * its diagonal. False: that is not positive definite, or not finite, and nothing below
  /// may be asked for.
  bool factorise(double damping);

  Eigen::VectorXd solution(Eigen::VectorXd right_side) const;

  /// Rows and columns first .. first + count - 1 of the matrix' inverse. Cheap for the last ones.
  Eigen::MatrixXd covariance(Eigen::Index first, Eigen::Index count) const;

  /// functions^T inverse functions: of linear functions of the unknowns, each a column.
  Eigen::MatrixXd covariance_of(Eigen::MatrixXd functions) const;

  /// Of the inverse: the first `blocks` blocks of three on the diagonal.
  std::vector<Eigen::Matrix3d> covariances_of_three(std::size_t blocks) const;

 private:
  /// L^-1 times the unit vectors of `count` unknowns from `first` on, without the rows above, which are zero.
  Eigen::MatrixXd unit_by_factor(Eigen::Index first, Eigen::Index count) const;

  Eigen::MatrixXd matrix_;  ///< below and on the diagonal: the factor; above: the matrix itself, for another damping
  Eigen::VectorXd diagonal_;
};

}  // namespace wainscot
