#include "graph/normal_system.hpp"

#include <algorithm>

namespace wainscot {
namespace {

/// How many times longer a multiplication takes in a sparse factor, which goes through lists, than in a dense one: 7 to
/// 10 in systems of 900 to 7,200 unknowns (tests/bench/graph_bench.cpp).
constexpr double kSparseByDense = 10.0;

double dense_multiplications(const NormalSystem& system) {
  const auto size = static_cast<double>(system.size());
  return size * size * size / 3.0;
}

std::variant<DenseFactor, SparseFactor> cheaper_factor(const NormalSystem& system) {
  const double dense = dense_multiplications(system);
  // A factor is at least as full as its matrix, and columns of one length have the least sum of squares.
  const auto size = static_cast<double>(system.size());
  const double mean_column = 0.5 * system.share_filled() * (size + 1.0);
  if (kSparseByDense * size * mean_column * mean_column < dense) {
    SparseFactor sparse(system.sparse());
    if (kSparseByDense * sparse.multiplications() < dense) return sparse;
  }
  return DenseFactor(system.dense());
}

}  // namespace

NormalSystem::NormalSystem(Eigen::Index size) : right_side_(Eigen::VectorXd::Zero(size)) {
  const Eigen::Index edge = (size + kTile - 1) / kTile;
  places_.assign(static_cast<std::size_t>(edge * (edge + 1) / 2), -1);
}

template <typename Use>
void NormalSystem::for_each_tile(const Use& use) const {
  const Eigen::Index edge = (size() + kTile - 1) / kTile;
  for (Eigen::Index column = 0; column < edge; ++column) {
    for (Eigen::Index row = column; row < edge; ++row) {
      const std::int32_t place = places_[static_cast<std::size_t>(row * (row + 1) / 2 + column)];
      if (place >= 0) use(tiles_[static_cast<std::size_t>(place)], row * kTile, column * kTile);
    }
  }
}

Eigen::MatrixXd NormalSystem::dense() const {
  Eigen::MatrixXd matrix = Eigen::MatrixXd::Zero(size(), size());
  for_each_tile([&](const Tile& tile, Eigen::Index row, Eigen::Index column) {
    const Eigen::Index rows = std::min(kTile, size() - row);
    const Eigen::Index columns = std::min(kTile, size() - column);
    matrix.block(row, column, rows, columns) = tile.topLeftCorner(rows, columns);
  });
  matrix.triangularView<Eigen::StrictlyUpper>() = matrix.transpose();
  return matrix;
}

Eigen::SparseMatrix<double> NormalSystem::sparse() const {
  Eigen::SparseMatrix<double> matrix(size(), size());
  const Eigen::Index edge = (size() + kTile - 1) / kTile;
  for (Eigen::Index column = 0; column < size(); ++column) {
    matrix.startVec(column);
    for (Eigen::Index at = column / kTile; at < edge; ++at) {
      const std::int32_t place = places_[static_cast<std::size_t>(at * (at + 1) / 2 + column / kTile)];
      const Eigen::Index end = std::min((at + 1) * kTile, size());
      for (Eigen::Index row = std::max(at * kTile, column); row < end; ++row) {
        const double value = place < 0 ? 0.0 : tiles_[static_cast<std::size_t>(place)](row % kTile, column % kTile);
        // Written so that a value that is not a number is kept.
        if (!(value == 0.0) || row / 3 == column / 3) matrix.insertBack(row, column) = value;
      }
    }
  }
  matrix.finalize();
  return matrix;
}

double NormalSystem::share_filled() const {
  double filled = 0.0;
  for_each_tile([&](const Tile& tile, Eigen::Index row, Eigen::Index column) {
    if (row == column) {
      for (Eigen::Index c = 0; c < kTile; ++c)
        filled += static_cast<double>((tile.col(c).tail(kTile - c).array() != 0.0).count());
    } else {
      filled += static_cast<double>((tile.array() != 0.0).count());
    }
  });
  const auto edge = static_cast<double>(size());
  return filled / std::max(0.5 * edge * (edge + 1.0), 1.0);
}

NormalFactor::NormalFactor(const NormalSystem& system)
    : factor_(cheaper_factor(system)), right_side_(system.right_side()) {}

bool NormalFactor::factorise(double damping) {
  return std::visit([&](auto& factor) { return factor.factorise(damping); }, factor_);
}

Eigen::VectorXd NormalFactor::solution(const Eigen::VectorXd& right_side) const {
  return std::visit([&](const auto& factor) { return factor.solution(right_side); }, factor_);
}

Eigen::MatrixXd NormalFactor::covariance(Eigen::Index first, Eigen::Index count) const {
  return std::visit([&](const auto& factor) { return factor.covariance(first, count); }, factor_);
}

Eigen::MatrixXd NormalFactor::covariance_of(const Eigen::MatrixXd& functions) const {
  return std::visit([&](const auto& factor) { return factor.covariance_of(functions); }, factor_);
}

std::vector<Eigen::Matrix3d> NormalFactor::covariances_of_three(std::size_t blocks) const {
  return std::visit([&](const auto& factor) { return factor.covariances_of_three(blocks); }, factor_);
}

}  // namespace wainscot
