#pragma once

// How noisy the returns are, by the adjustment's own residuals.

#include "graph/adjust/adjustment_problem.hpp"
#include "graph/adjust/paired_walls.hpp"

namespace wainscot {

/// Components of the returns' variance (C. R. Rao, J. Kleffe, "Estimation of Variance Components and Applications",
/// 1988), of groups: the returns of one scan on one wall piece.
///
/// What the returns of a group scatter by about their mean is the noise of single ranges; the stated noise only says
/// how it grows with range and incidence, and begins the search. What is left between groups beyond that is what the
/// returns of a group err by together (a tilted lidar, a surface, a wall that is not straight), so that the mean of
/// fifty is not seven times as good as one of them: the variance with which the groups' squares sum to their
/// redundancy, the unknowns that were fitted taken off (J. Mandel, R. C. Paule, Analytical Chemistry 42, 1970), each
/// square bounded (graph/bounded_squares.hpp) so that a group on something that moved does not decide.
///
/// `state`: after a step, with `walls` fitted to it; its own noise is what the components are improved from. Where too
/// few groups are there to tell, that comes back.
ReturnNoise found_return_noise(const AdjustmentProblem& problem, const AdjustmentState& state,
                               const PairedWalls& walls);

/// What the returns of one scan on one whole face of a wall err by together beyond that (a sweep that is corrected for
/// motion a little wrongly, a tilt): the variance of unit weight a posteriori (E. M. Mikhail, F. Ackermann,
/// "Observations and Least Squares", 1976) of these larger groups, by which poses are less sure than the equations say.
/// 1 or more; 1 where too few faces are there to tell. `state`: after the last step, with `walls` fitted to it.
double variance_factor(const AdjustmentProblem& problem, const AdjustmentState& state, const PairedWalls& walls);

}  // namespace wainscot
