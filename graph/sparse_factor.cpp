#include "graph/sparse_factor.hpp"

#include <algorithm>
#include <limits>

#include <Eigen/Dense>
#include <Eigen/SparseCholesky>

namespace wainscot {

using Lower = Eigen::SparseMatrix<double>;

class SparseFactor::Cholesky : public Eigen::SimplicialLLT<Lower, Eigen::Lower, Eigen::AMDOrdering<int>> {
 public:
  /// L, of the unknowns in their new order; column by column, rows rising. Before there are values: where its columns
  /// begin.
  const Lower& factor() const { return m_matrix; }
  /// Where an unknown has come to be.
  Eigen::Index place(Eigen::Index unknown) const { return m_P.indices()[unknown]; }
};

namespace {

/// The values of (L L^T)^-1 on the pattern of L, in the order of its values. From the last column to the first: those
/// below the diagonal of column j are -Z l, the one on it 1 / L_jj^2 + l^T Z l, with l = column j below its diagonal /
/// L_jj and Z what of the inverse lies at that column's rows, which later columns have given.
Eigen::VectorXd inverse_on_pattern(const Lower& factor) {
  const int* const begins = factor.outerIndexPtr();
  const int* const rows = factor.innerIndexPtr();
  const double* const values = factor.valuePtr();
  Eigen::VectorXd inverse(factor.nonZeros());
  Eigen::VectorXd column = Eigen::VectorXd::Zero(factor.rows());   // l; zero but at its rows
  Eigen::VectorXd product = Eigen::VectorXd::Zero(factor.rows());  // Z l at the rows of l; of no meaning elsewhere
  for (Eigen::Index j = factor.cols(); j-- > 0;) {
    const int diagonal = begins[j];
    const int end = begins[j + 1];
    for (int i = diagonal + 1; i < end; ++i) {
      column[rows[i]] = values[i] / values[diagonal];
      product[rows[i]] = 0.0;
    }
    for (int i = diagonal + 1; i < end; ++i) {
      const int k = rows[i];
      const double at_k = column[k];
      double sum = inverse[begins[k]] * at_k;
      for (int z = begins[k] + 1; z < begins[k + 1]; ++z) {
        sum += inverse[z] * column[rows[z]];
        product[rows[z]] += inverse[z] * at_k;
      }
      product[k] += sum;
    }
    double own = 1.0 / (values[diagonal] * values[diagonal]);
    for (int i = diagonal + 1; i < end; ++i) {
      inverse[i] = -product[rows[i]];
      own += column[rows[i]] * product[rows[i]];
    }
    inverse[diagonal] = own;
    for (int i = diagonal + 1; i < end; ++i) column[rows[i]] = 0.0;
  }
  return inverse;
}

}  // namespace

SparseFactor::SparseFactor(const Lower& lower) : lower_(lower), cholesky_(std::make_unique<Cholesky>()) {
  cholesky_->analyzePattern(lower_);
}

SparseFactor::~SparseFactor() = default;
SparseFactor::SparseFactor(SparseFactor&&) noexcept = default;
SparseFactor& SparseFactor::operator=(SparseFactor&&) noexcept = default;

double SparseFactor::multiplications() const {
  const int* const begins = cholesky_->factor().outerIndexPtr();
  double sum = 0.0;
  for (Eigen::Index j = 0; j < lower_.cols(); ++j) {
    const double length = begins[j + 1] - begins[j];
    sum += length * length;
  }
  return sum;
}

bool SparseFactor::factorise(double damping) {
  Lower damped = lower_;
  if (damping > 0.0) {
    // An unknown that no measurement holds has to be damped too.
    for (Eigen::Index i = 0; i < damped.cols(); ++i) {
      double& value = damped.coeffRef(i, i);
      value += damping * std::max(value, std::numeric_limits<double>::min());
    }
  }
  cholesky_->factorize(damped);
  if (cholesky_->info() != Eigen::Success) return false;
  // A value that is not finite passes for positive there, and spoils the diagonal of its row.
  return Eigen::VectorXd(cholesky_->factor().diagonal()).allFinite();
}

Eigen::VectorXd SparseFactor::solution(const Eigen::VectorXd& right_side) const { return cholesky_->solve(right_side); }

Eigen::MatrixXd SparseFactor::covariance(Eigen::Index first, Eigen::Index count) const {
  constexpr Eigen::Index kAtOnce = 32;  // columns, so that many unknowns of a large system need little memory
  Eigen::MatrixXd covariance(count, count);
  for (Eigen::Index begin = 0; begin < count; begin += kAtOnce) {
    const Eigen::Index columns = std::min(kAtOnce, count - begin);
    Eigen::MatrixXd unit = Eigen::MatrixXd::Zero(lower_.rows(), columns);
    unit.middleRows(first + begin, columns).setIdentity();
    covariance.middleCols(begin, columns) = Eigen::MatrixXd(cholesky_->solve(unit)).middleRows(first, count);
  }
  return 0.5 * (covariance + covariance.transpose());
}

Eigen::MatrixXd SparseFactor::covariance_of(const Eigen::MatrixXd& functions) const {
  Eigen::MatrixXd half = cholesky_->permutationP() * functions;
  cholesky_->matrixL().solveInPlace(half);
  return half.transpose() * half;
}

std::vector<Eigen::Matrix3d> SparseFactor::covariances_of_three(std::size_t blocks) const {
  const Lower& factor = cholesky_->factor();
  const Eigen::VectorXd inverse = inverse_on_pattern(factor);
  const int* const rows = factor.innerIndexPtr();
  std::vector<Eigen::Matrix3d> covariances(blocks);
  for (std::size_t b = 0; b < blocks; ++b) {
    for (Eigen::Index r = 0; r < 3; ++r) {
      for (Eigen::Index c = 0; c <= r; ++c) {
        const auto first = 3 * static_cast<Eigen::Index>(b);
        const auto [column, row] = std::minmax({cholesky_->place(first + r), cholesky_->place(first + c)});
        const int* const begin = rows + factor.outerIndexPtr()[column];
        const int* const end = rows + factor.outerIndexPtr()[column + 1];
        const int* const found = std::lower_bound(begin, end, static_cast<int>(row));
        covariances[b](r, c) = covariances[b](c, r) = inverse[found - rows];
      }
    }
  }
  return covariances;
}

}  // namespace wainscot
