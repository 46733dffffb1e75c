#pragma once

// markers.csv, where the robot saw markers, and marker_map.csv, where a survey found them (io/FORMATS.md).

#include <string>
#include <vector>

#include "core/drive.hpp"
#include "io/files/file_reader.hpp"

namespace wainscot {

/// Reads markers.csv. Throws `InputError`.
std::vector<MarkerSighting> read_markers(FileReader& file, std::vector<std::string>& warnings);

/// Reads marker_map.csv, each marker at most once. Throws `InputError`.
std::vector<SurveyedMarker> read_marker_map(FileReader& file, std::vector<std::string>& warnings);

}  // namespace wainscot
