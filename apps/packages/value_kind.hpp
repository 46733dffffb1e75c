#pragma once

// What a shell can offer where a value is to be typed.

#include "apps/command_words.hpp"

namespace wainscot {

enum class ValueKind {
  nothing,  ///< a number, or a name that no shell knows
  words,    ///< one of the option's choices
  file,
  folder
};

/// Of an option with a value, or of what a command works on.
ValueKind value_kind(const OptionWords& option);

/// Of a command: a file where any of its arguments may be one, else a folder where any may, else nothing. Shells that
/// count arguments badly offer it for each of them.
ValueKind argument_kind(const CommandWords& command);

}  // namespace wainscot
