#pragma once

#include <string>
#include <vector>

#include "core/drives.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// The reader's warnings of each drive, then the mapper's, each once.
std::vector<std::string> all_warnings(Drives drives, const Map& map);

}  // namespace wainscot
