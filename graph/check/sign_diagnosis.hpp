#pragma once

// Which way round things are: the lidar's angles, the wheels' columns, the counters, the gyro.

#include <optional>
#include <vector>

#include "core/drive.hpp"
#include "graph/check/diagnosis.hpp"
#include "graph/check/explanation.hpp"
#include "graph/motion/robot_fit.hpp"

namespace wainscot {

/// `all`: of explanations() of this fit, at least one; `gyro_agrees`: of gyro_agreement().
Diagnosis sign_diagnosis(const std::vector<Explanation>& all, const RobotFit& fit, std::optional<bool> gyro_agrees,
                         const Drive& drive);

}  // namespace wainscot
