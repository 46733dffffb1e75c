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
/// allow, and for measurements that cannot be in metres and degrees: lengths beyond 50 m, or an end that the wheels
/// would have to be half or twice as large for as robot.yaml says.
CalibrationRuns read_runs(const std::filesystem::path& folder, const std::vector<std::string>& leave_out = {});

}  // namespace wainscot
