#pragma once

// How noisy odometry is, by the adjustment's own residuals.

#include <vector>

#include "graph/adjust/odometry_factors.hpp"
#include "graph/adjust/unknown_layout.hpp"
#include "graph/normal_system.hpp"

namespace wainscot {

/// The noise that odometry has over the noise that is stated: along, across, heading, each beside what the heading's
/// error explains of it (what it puts aside on the way is the heading's noise). Variance components (C. R. Rao,
/// J. Kleffe, "Estimation of Variance Components and Applications", 1988). Helmert's rule takes the squares of the
/// residuals by what is left of their number once what the unknowns took is off it, tr R of the redundancy matrix R.
/// Where odometry is firmer than the walls, R is small and that rule creeps, since residuals are then nearly what is
/// believed of them; near the solution the step of Fisher scoring is tr R / tr R R times as long (of the logarithm),
/// and so is the step here. Both traces are estimated by a few random signs (A. Girard, "A fast Monte-Carlo
/// cross-validation procedure", Numerische Mathematik 56, 1989), always the same ones. Squares are bounded, so that
/// slips do not count as noise.
///
/// `ratio`: what `factors` were made with, and returned for a part of which too little is left to tell. `factor`: of
/// the equations with these factors in them, undamped; the residuals are taken after their solution, to first order.
NoiseRatio found_odometry_noise(const std::vector<OdometryFactor>& factors, const NoiseRatio& ratio,
                                const NormalFactor& factor, const UnknownLayout& layout);

}  // namespace wainscot
