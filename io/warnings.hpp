#pragma once

#include <string>
#include <vector>

#include "core/drive.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// The reader's warnings, then the mapper's, each once.
std::vector<std::string> all_warnings(const Drive& drive, const Map& map);

}  // namespace wainscot
