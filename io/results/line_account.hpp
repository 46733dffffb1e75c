#pragma once

// What was made of the lines that the robot followed, for people and for machines.

#include <string>

#include <nlohmann/json_fwd.hpp>

#include "graph/map.hpp"

namespace wainscot {

/// Whole sentences in one line, without line end; empty where the drive followed no line. The frame is told where lines
/// alone set it.
std::string line_sentences(const Map& map);

/// The "lines" of summary.json.
nlohmann::ordered_json lines_json(const MapLines& lines);

/// The file whose frame the map has: marker_map.csv or, where no marker of it was seen, line_map.csv.
const char* survey_file(const Map& map);

}  // namespace wainscot
