#pragma once

#include <filesystem>

#include "graph/check/log_check.hpp"
#include "io/log/drive_reader.hpp"

namespace wainscot {

/// Reads a drive folder in the ways that a check of the log needs. Throws `InputError`.
LogReadings read_log(const std::filesystem::path& folder, const ReadProgress& progress = {},
                     LidarLog lidar_log = LidarLog::needed);

}  // namespace wainscot
