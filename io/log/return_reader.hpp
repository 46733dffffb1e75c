#pragma once

// returns.csv: one row a return, at uneven angles, cut into revolutions here (io/FORMATS.md).

#include <cstddef>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "core/robot.hpp"
#include "io/files/file_reader.hpp"

namespace wainscot {

/// Reads the returns, one `Scan` a revolution. The direction of turning and, where sweep_s is left out, the time of a
/// turn are found from the beginning of the log. `begins`, where not null, receives the line of each revolution's first
/// row. Throws `InputError`.
std::vector<Scan> read_returns(FileReader& file, const LidarConstants& lidar, std::vector<std::string>& warnings,
                               std::vector<std::size_t>* begins = nullptr);

}  // namespace wainscot
