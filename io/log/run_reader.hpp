#pragma once

// A folder of calibration runs (io/FORMATS.md): runs.csv, the logs that it names, and the robot.yaml in use.

#include <filesystem>
#include <string>
#include <vector>

#include "core/calibration_runs.hpp"

namespace wainscot {

/// Whether a folder holds calibration runs (a runs.csv) rather than a drive.
bool holds_runs(const std::filesystem::path& folder);

/// Reads the folder without the runs of the names in `leave_out`. Throws `InputError` for what io/FORMATS.md does not
/// allow, and where the whole table says that a measurement cannot be in metres and degrees.
CalibrationRuns read_runs(const std::filesystem::path& folder, const std::vector<std::string>& leave_out = {});

}  // namespace wainscot
