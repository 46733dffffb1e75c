#pragma once

// One round of the joint adjustment: returns are paired with pieces of wall anew, everything is linearised, and poses,
// constants, pieces and markers move by one step.

#include <vector>

#include "graph/adjust/adjustment_problem.hpp"
#include "graph/adjust/damped_step.hpp"
#include "graph/adjust/paired_walls.hpp"
#include "graph/adjust/unknown_layout.hpp"
#include "graph/normal_system.hpp"

namespace wainscot {

struct AdjustmentRound {
  AdjustmentState begun;  ///< where it was linearised: as given, in the survey's frame where there is one
  AdjustmentState moved;  ///< after the step, scans corrected, with the noise that its equations tell; as begun where
                          ///< none was taken
  PairedWalls walls;      ///< after the step; where none was taken, as the returns lie in `begun`
  UnknownLayout layout;
  NormalFactor factor;  ///< of the equations at `begun`, with the step's damping
  DampedStep step;
  std::vector<double> piece_variances_m2;  ///< see piece_variances_m2(), at `begun`
  double residual_rms_m = 0.0;             ///< of the returns at `begun`
};

/// `state`: its scans corrected (graph/adjust/scan_correction.hpp).
AdjustmentRound adjustment_round(const AdjustmentProblem& problem, AdjustmentState state);

}  // namespace wainscot
