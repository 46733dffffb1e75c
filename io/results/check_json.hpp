#pragma once

#include <string>

#include "core/drive.hpp"
#include "graph/check/log_check.hpp"

namespace wainscot {

/// What a check found, for machines: JSON with a line end, the units in the keys' names.
std::string check_json(const LogCheck& check, const Drive& drive, bool simulated);

}  // namespace wainscot
