#pragma once

#include <string>

#include "graph/map.hpp"

namespace wainscot {

/// Where the robot came back to a place that it knew, as a section of report.html: every candidate with its reason, at
/// most 200 rows of either verdict, and room for both scans of one laid over each other by the script.
/// `loops_closed`: false where the map was made without; the section then says so.
std::string closure_section(const Map& map, bool loops_closed);

}  // namespace wainscot
