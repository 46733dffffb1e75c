#pragma once

#include <filesystem>

namespace wainscot {

/// Whether a drive says that it is simulated: its robot.yaml or truth.csv begins with comments (`#` lines) of which one
/// has the word "simulated". Files that are not there say nothing.
bool is_marked_simulated(const std::filesystem::path& drive_folder);

/// Whether a map's grid.yaml says that one of its drives is simulated. Throws `InputError` where it cannot be read.
bool is_map_of_simulated_drive(const std::filesystem::path& map_folder);

}  // namespace wainscot
