#pragma once

// What --help prints.

#include <cstddef>
#include <string>

#include "apps/command_words.hpp"

namespace wainscot {

/// No line is longer than `width` characters (at least 40); lines of examples are broken, where they have to be, so
/// that they can still be pasted.
std::string help_text(const CommandWords& command, std::size_t width);

/// From 40 to 100: the terminal's where standard output is one, else what COLUMNS says, else 80.
std::size_t help_width();

}  // namespace wainscot
