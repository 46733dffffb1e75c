#pragma once

// How large residuals are for their variance, not misled by a few that are wrong: squares of residuals by their
// variance are bounded before their mean is taken (after the second proposal of P. J. Huber, "Robust estimation of a
// location parameter", Annals of Mathematical Statistics 35, 1964). The bound of 2.5 standard deviations is that of the
// robust weights, WallModel::robust_ratio; it was chosen by hand.

#include <algorithm>

namespace wainscot {

/// Of squares that are chi squared where the variance is right.
struct BoundedSquares {
  double bound = 0.0;  ///< as probable to be exceeded as 2.5 standard deviations by a normal variable, 0.0124
  double mean = 0.0;   ///< of a bounded square, where the variance is right

  double operator()(double square) const { return std::min(bound, square); }
};

// The means are integrals of the probability to exceed a square, from 0 to the bound.
inline constexpr BoundedSquares kBoundedOne{6.25, 0.9776};       ///< one degree of freedom
inline constexpr BoundedSquares kBoundedTwo{8.7770, 1.9752};     ///< two
inline constexpr BoundedSquares kBoundedThree{10.8754, 2.9733};  ///< three

/// A variance from so many residuals more than unknowns is good to a quarter: sqrt(2 / 30).
inline constexpr double kEnoughForVariance = 30.0;

}  // namespace wainscot
