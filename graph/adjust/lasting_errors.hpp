#pragma once

// Odometry's errors that last longer than one stretch between nodes: slip that comes and goes, floors that differ.

#include <vector>

#include "graph/adjust/odometry_factors.hpp"

namespace wainscot {

/// What errors of turning that neighbouring stretches share add to the turn scale's variance; 0 or more. The equations
/// take stretches for independent, so that a hundred of them know the track width ten times as well as one; where a
/// floor makes thirty in a row turn too far, they do not. The pulls of the residuals on the scale, summed over whole
/// blocks of the drive, scatter by both; each stretch's own pull squared is the independent part, and what is left is
/// the answer: K.-Y. Liang, S. L. Zeger, "Longitudinal data analysis using generalized linear models", Biometrika 73
/// (1986), with blocks for their subjects. Widened as Student's t asks of so few blocks. 0 where the drive is too short
/// for blocks. Of the turn scale alone: the walls hold the nodes' headings, so that the pulls on it are the whole
/// story. Those on a scale of lengths are not: nodes that move along with it pull the other way.
///
/// `factors`: at the solution. `variance`: of the turn scale, by the equations.
double lasting_turn_variance(const std::vector<OdometryFactor>& factors, double variance);

}  // namespace wainscot
