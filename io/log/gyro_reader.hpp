#pragma once

// gyro.csv: the yaw rate that a gyroscope measured (io/FORMATS.md).

#include <string>
#include <vector>

#include "core/drive.hpp"
#include "io/files/file_reader.hpp"

namespace wainscot {

/// Reads gyro.csv; of rows with one time the last is used. Throws `InputError`.
std::vector<YawRate> read_gyro(FileReader& file, std::vector<std::string>& warnings);

}  // namespace wainscot
