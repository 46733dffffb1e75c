#pragma once

// How much less the adjustment knows than its equations say, by its own residuals.

#include "graph/adjust/adjustment_problem.hpp"
#include "graph/adjust/paired_walls.hpp"

namespace wainscot {

/// The variance of unit weight a posteriori (E. M. Mikhail, F. Ackermann, "Observations and Least Squares", 1976), of
/// groups of returns rather than of single ones: those of one scan on one wall piece err together (a
/// tilted lidar, a surface, a wall that is not straight), so that the mean of fifty is not seven times as good as one
/// of them, and neighbouring scans do not share that error. Each group's weighted sum of residuals is squared and
/// divided by its variance were all returns independent and as noisy as stated; the mean of these by the redundancy of
/// the groups is 1 where that is so. It covers noise that robot.yaml misstates, either way. 1 where fewer than thirty
/// groups more than unknowns are there to tell.
///
/// `state`: after the last step, with `walls` fitted to it.
double variance_factor(const AdjustmentProblem& problem, const AdjustmentState& state, const PairedWalls& walls);

}  // namespace wainscot
