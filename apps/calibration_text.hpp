#pragma once

// What calibrate prints: plain text for people, every figure with its unit.

#include <optional>
#include <string>
#include <vector>

#include "core/calibration_runs.hpp"
#include "core/robot.hpp"
#include "graph/calibrate/combined_calibration.hpp"
#include "graph/calibrate/drive_calibration.hpp"
#include "graph/calibrate/mapped_calibration.hpp"
#include "graph/calibrate/run_calibration.hpp"
#include "graph/calibrate/square_runs.hpp"

namespace wainscot {

/// Of runs with a tape: constants, residuals, what they are worth, what would make them better.
std::string calibration_text(const CalibrationRuns& runs, const RunCalibration& found);

/// The square-path test: errors, both kinds, corrections, and what is left of the error.
std::string square_text(const CalibrationRuns& runs, const SquareTest& test, const RunCalibration& found);

/// Of a drive. `mapped`: the map that was made with what the increments gave; nullopt: it was not asked for or could
/// not be made.
std::string calibration_text(const Drive& drive, const DriveCalibration& found,
                             const std::optional<MappedCalibration>& mapped);

/// Of several witnesses together: what comes out, whose word counts most, and who contradicts the others. `before`: the
/// robot.yaml whose clock offset and range_scale they were read with.
std::string combined_text(const std::vector<Witness>& witnesses, const CombinedCalibration& found, const Robot& before);

}  // namespace wainscot
