#pragma once

#include <optional>
#include <string>

#include "core/drive.hpp"

namespace wainscot {

/// One sentence where the times of the drive's motion, of its scans or of both cannot be seconds: they are a thousand
/// or a million times too long. nullopt: they may be.
std::optional<std::string> wrong_time_unit(const Drive& drive);

}  // namespace wainscot
