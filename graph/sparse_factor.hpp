#pragma once

// The Cholesky factor of a symmetric matrix of which most values are zero, and what of the inverse lies on its pattern.

#include <cstddef>
#include <memory>
#include <vector>

#include <Eigen/Core>
#include <Eigen/SparseCore>

namespace wainscot {

/// Unknowns are ordered by approximate minimum degree (P. Amestoy, T. Davis, I. Duff, "An approximate minimum degree
/// ordering algorithm", SIAM J. Matrix Anal. Appl. 17(4), 1996), which puts those that all others depend on last.
class SparseFactor {
 public:
  /// `lower`: the lower triangle; zero where nothing is stored. Diagonal blocks of three are stored whole. Finds the
  /// order and the factor's pattern.
  explicit SparseFactor(const Eigen::SparseMatrix<double>& lower);
  ~SparseFactor();
  SparseFactor(SparseFactor&&) noexcept;
  SparseFactor& operator=(SparseFactor&&) noexcept;

  /// That factorising takes: sum of the squares of the lengths of the factor's columns.
  double multiplications() const;

  /// Factors matrix + damping * its diagonal. False: that is not positive definite, or not finite, and nothing below
  /// may be asked for.
  bool factorise(double damping);

  Eigen::VectorXd solution(const Eigen::VectorXd& right_side) const;

  /// Rows and columns first .. first + count - 1 of the matrix' inverse.
  Eigen::MatrixXd covariance(Eigen::Index first, Eigen::Index count) const;

  /// functions^T inverse functions: of linear functions of the unknowns, each a column.
  Eigen::MatrixXd covariance_of(const Eigen::MatrixXd& functions) const;

  /// Of the inverse: the first `blocks` blocks of three on the diagonal. By the recursion of K. Takahashi, J. Fagan,
  /// M.-S. Chin, "Formation of a sparse bus impedance matrix and its application to short circuit study", 8th PICA
  /// Conference, 1973, which stays on the factor's pattern (A. Erisman, W. Tinney, Comm. ACM 18(3), 1975).
  std::vector<Eigen::Matrix3d> covariances_of_three(std::size_t blocks) const;

 private:
  class Cholesky;
  Eigen::SparseMatrix<double> lower_;
  std::unique_ptr<Cholesky> cholesky_;
};

}  // namespace wainscot
