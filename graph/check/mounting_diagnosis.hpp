#pragma once

// Whether the lidar sits where robot.yaml has it.

#include "core/robot.hpp"
#include "graph/check/diagnosis.hpp"
#include "graph/check/explanation.hpp"
#include "graph/motion/robot_fit.hpp"

namespace wainscot {

/// `best`: of explanations() of this fit.
Diagnosis mounting_diagnosis(const Explanation& best, const RobotFit& fit, const Robot& robot);

}  // namespace wainscot
