#pragma once

// What the factors of markers and of lines on the floor are added to, and how.

#include <cmath>
#include <cstddef>
#include <functional>
#include <vector>

#include <Eigen/Core>

#include "core/pose2.hpp"
#include "core/square.hpp"
#include "graph/normal_system.hpp"

namespace wainscot {

/// The normal equations that factors are added to.
struct FactorTarget {
  NormalSystem& system;
  std::function<Eigen::Index(std::size_t)> node_column;  ///< of a node's three unknowns; below 0: held fixed
  Eigen::Index range_scale_column = -1;                  ///< the house grows with it; below 0: held fixed
  Eigen::Index first_column = 0;                         ///< of the factors' own unknowns
};

/// The survey's frame in the map's as an unknown: x, y (m), heading (rad), to which steps are added.
struct SurveyUnknown {
  Pose2 frame;
  Eigen::Index column = 0;
};

/// The part of a factor's derivative that belongs to one group of unknowns; `column` below 0: held fixed.
struct FactorTerm {
  Eigen::Index column;
  Eigen::MatrixXd derivative;
};

/// Adds a factor to the lower triangle.
template <int Rows>
void add_factor(const FactorTarget& target, const Eigen::Matrix<double, Rows, 1>& residual,
                const Eigen::Matrix<double, Rows, 1>& information, const std::vector<FactorTerm>& terms) {
  for (const FactorTerm& a : terms) {
    if (a.column < 0) continue;
    const Eigen::MatrixXd weighted = a.derivative.transpose() * information.asDiagonal();
    target.system.right_side(a.column, weighted.rows()) -= weighted * residual;
    for (const FactorTerm& b : terms) {
      if (b.column < 0 || b.column > a.column) continue;
      target.system.add(a.column, b.column, weighted * b.derivative);
    }
  }
}

inline double cauchy_weight(double chi_squared, double ratio) { return 1.0 / (1.0 + chi_squared / square(ratio)); }

inline double cauchy_cost(double chi_squared, double ratio) {
  return 0.5 * square(ratio) * std::log1p(chi_squared / square(ratio));
}

}  // namespace wainscot
