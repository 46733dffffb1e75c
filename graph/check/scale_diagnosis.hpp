#pragma once

// Which lengths are off by a factor: the wheels', the track's, the ranges.

#include "core/drive.hpp"
#include "graph/check/diagnosis.hpp"
#include "graph/check/explanation.hpp"
#include "graph/motion/robot_fit.hpp"

namespace wainscot {

/// `best`: of explanations() of this fit.
Diagnosis scale_diagnosis(const Explanation& best, const RobotFit& fit, const Drive& drive);

}  // namespace wainscot
