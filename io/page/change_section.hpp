#pragma once

#include <string>
#include <vector>

#include "graph/changes.hpp"

namespace wainscot {

/// What changed during a drive, and what between several, as sections of report.html with a table each; "" where
/// nothing did.
std::string change_section(const std::vector<Change>& changes);

}  // namespace wainscot
