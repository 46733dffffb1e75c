#pragma once

#include "core/robot.hpp"
#include "graph/calibrate/drive_calibration.hpp"

namespace wainscot {

/// The robot with what was observed in place of what robot.yaml says, standard uncertainties of the wheels included.
Robot calibrated_robot(const Robot& stated, const DriveCalibration& found);

}  // namespace wainscot
