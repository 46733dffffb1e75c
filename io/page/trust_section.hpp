#pragma once

#include <string>

#include "core/drives.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// How far to trust the map, as a section of report.html: the sentence that matters most, the size of what was seen,
/// and every warning with what to do about it. `simulated`: says that its figures come from no real robot.
std::string trust_section(const Map& map, Drives drives, bool simulated);

}  // namespace wainscot
