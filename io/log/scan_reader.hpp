#pragma once

// scans.csv: one row a turn of the lidar, one column a beam (io/FORMATS.md).

#include <string>
#include <vector>

#include "core/drive.hpp"
#include "core/robot.hpp"
#include "io/files/file_reader.hpp"

namespace wainscot {

/// Reads the scans. Each beam has its own time after the scan's: its share of a full turn times sweep_s or, where
/// that is left out, times the interval to the next scan. Throws `InputError`.
std::vector<Scan> read_scans(FileReader& file, const LidarConstants& lidar, std::vector<std::string>& warnings);

}  // namespace wainscot
