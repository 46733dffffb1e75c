#pragma once

#include <string>

#include "core/drives.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// The page's first words, as a section of report.html: is the map good, where not, and what now.
std::string verdict_section(const Map& map, Drives drives);

/// How far to trust the map, as a section of report.html: every warning with what to do about it, how sure places are,
/// and the size of what was seen. `simulated`: says that its figures come from no real robot.
std::string trust_section(const Map& map, Drives drives, bool simulated);

}  // namespace wainscot
