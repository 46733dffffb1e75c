#pragma once

#include <string>
#include <vector>

#include "graph/calibrate/drive_calibration.hpp"

namespace wainscot {

/// What the drive could not show and which short drive would: one sentence each, none where all is observed.
std::vector<std::string> missing_drives(const DriveCalibration& found);

}  // namespace wainscot
