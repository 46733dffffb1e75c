#include "graph/dense_factor.hpp"

#include <algorithm>
#include <limits>
#include <utility>

#include <Eigen/Dense>

namespace wainscot {

DenseFactor::DenseFactor(Eigen::MatrixXd matrix) : matrix_(std::move(matrix)), diagonal_(matrix_.diagonal()) {}

bool DenseFactor::factorise(double damping) {
  matrix_.triangularView<Eigen::StrictlyLower>() = matrix_.transpose();
  matrix_.diagonal() = diagonal_;
  // An unknown that no measurement holds has to be damped too.
  if (damping > 0.0) matrix_.diagonal() += damping * diagonal_.cwiseMax(std::numeric_limits<double>::min());
  const Eigen::LLT<Eigen::Ref<Eigen::MatrixXd>> in_place(matrix_);
  // A value that is not finite passes for positive there, and spoils the diagonal of its row.
  return in_place.info() == Eigen::Success && matrix_.diagonal().allFinite();
}

Eigen::VectorXd DenseFactor::solution(Eigen::VectorXd right_side) const {
  matrix_.triangularView<Eigen::Lower>().solveInPlace(right_side);
  matrix_.transpose().triangularView<Eigen::Upper>().solveInPlace(right_side);
  return right_side;
}

Eigen::MatrixXd DenseFactor::unit_by_factor(Eigen::Index first, Eigen::Index count) const {
  const Eigen::Index rest = matrix_.rows() - first;
  Eigen::MatrixXd unit = Eigen::MatrixXd::Zero(rest, count);
  unit.topRows(count).setIdentity();
  if (count > 0) matrix_.bottomRightCorner(rest, rest).triangularView<Eigen::Lower>().solveInPlace(unit);
  return unit;
}

Eigen::MatrixXd DenseFactor::covariance(Eigen::Index first, Eigen::Index count) const {
  const Eigen::MatrixXd unit = unit_by_factor(first, count);
  return unit.transpose() * unit;
}

Eigen::MatrixXd DenseFactor::covariance_of(Eigen::MatrixXd functions) const {
  matrix_.triangularView<Eigen::Lower>().solveInPlace(functions);
  return functions.transpose() * functions;
}

std::vector<Eigen::Matrix3d> DenseFactor::covariances_of_three(std::size_t blocks) const {
  // Only the lower right corner of L takes part. Several blocks at once keep the processor's caches busy.
  constexpr std::size_t kAtOnce = 32;
  std::vector<Eigen::Matrix3d> covariances(blocks);
  for (std::size_t begin = 0; begin < blocks; begin += kAtOnce) {
    const std::size_t end = std::min(begin + kAtOnce, blocks);
    const Eigen::MatrixXd unit =
        unit_by_factor(3 * static_cast<Eigen::Index>(begin), 3 * static_cast<Eigen::Index>(end - begin));
    for (std::size_t i = begin; i < end; ++i) {
      const auto own = unit.middleCols<3>(3 * static_cast<Eigen::Index>(i - begin));
      covariances[i] = own.transpose() * own;
    }
  }
  return covariances;
}

}  // namespace wainscot
