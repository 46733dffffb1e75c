#pragma once

// The nodes' scans corrected by what the adjustment has found so far: their times, and the motion during each sweep.

#include <cstddef>
#include <vector>

#include "graph/adjust/adjustment_problem.hpp"

namespace wainscot {

/// Mean velocity on the way from a node to the next (from the one before, for the last), robot frame; zero where the
/// stretch took more than 3 s, so that it says little about one sweep.
Tangent2 sweep_velocity(const std::vector<Keyframe>& keyframes, const std::vector<Pose2>& poses, std::size_t node);

/// Sets the keyframes' times on the wheels' clock and their points: by the state's constants, along odometry's path
/// bent to lead from node to node.
void correct_scans(const AdjustmentProblem& problem, AdjustmentState& state);

}  // namespace wainscot
