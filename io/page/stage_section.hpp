#pragma once

#include <string>

#include "graph/map.hpp"

namespace wainscot {

/// What each stage took and gave, as a section of report.html, in the order of the mapper's work. Each figure carries
/// the name that summary.json has for it.
std::string stage_section(const Map& map);

}  // namespace wainscot
