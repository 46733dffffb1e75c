#pragma once

// hints.csv: what the person who drove knows of the places (io/FORMATS.md).

#include <string>
#include <vector>

#include "core/drive.hpp"
#include "io/files/file_reader.hpp"

namespace wainscot {

/// Reads hints.csv. Every time must lie within the scans' times, first_s to last_s, give or take a second. Throws
/// `InputError`.
std::vector<Hint> read_hints(FileReader& file, double first_s, double last_s, std::vector<std::string>& warnings);

}  // namespace wainscot
