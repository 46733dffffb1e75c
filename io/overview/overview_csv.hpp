#pragma once

#include <string>

#include "io/overview/overview.hpp"

namespace wainscot {

/// A row a drive, in the overview's order, as io/FORMATS.md describes it; what is not known is an empty cell.
std::string overview_csv(const Overview& overview);

}  // namespace wainscot
