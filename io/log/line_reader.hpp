#pragma once

// followed.csv, when the robot followed lines on the floor, and line_map.csv, where a survey found them
// (io/FORMATS.md).

#include <string>
#include <vector>

#include "core/drive.hpp"
#include "io/files/file_reader.hpp"

namespace wainscot {

/// Reads followed.csv, whose rows may be in any order. Throws `InputError`.
std::vector<FollowedStretch> read_followed(FileReader& file, std::vector<std::string>& warnings);

/// Reads line_map.csv, each line at most once. Throws `InputError`.
std::vector<MeasuredLine> read_line_map(FileReader& file, std::vector<std::string>& warnings);

}  // namespace wainscot
