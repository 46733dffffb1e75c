#pragma once

// gyro.csv: the yaw rate that a gyroscope measured (io/FORMATS.md).

#include <string>
#include <vector>

#include "core/drive.hpp"
#include "io/files/file_reader.hpp"

namespace wainscot {

/// Reads gyro.csv as it stands; of rows with one time the last is used. `scale`: radians a second of its unit, by which
/// rates that no robot has are told. Throws `InputError`.
std::vector<YawRate> read_gyro(FileReader& file, double scale, std::vector<std::string>& warnings);

}  // namespace wainscot
