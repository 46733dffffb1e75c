#pragma once

// Whether a turn of the lidar takes as long as robot.yaml says, and fires in that order.

#include <optional>

#include "core/robot.hpp"
#include "graph/check/diagnosis.hpp"
#include "graph/motion/lidar_motion.hpp"
#include "graph/motion/sweep_fit.hpp"

namespace wainscot {

struct SweepDiagnosis {
  Diagnosis diagnosis;
  std::optional<double> sweep_s;  ///< where robot.yaml is wrong: the time of a turn to follow the lidar with
};

/// `fit`: of these scans.
SweepDiagnosis sweep_diagnosis(const SweepFit& fit, const TurnScans& scans, const Robot& robot);

}  // namespace wainscot
