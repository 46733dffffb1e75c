#pragma once

// Completion for bash: commands, options, and what they take.

#include <string>

#include "apps/command_words.hpp"

namespace wainscot {

/// The script for a folder that bash-completion looks into, or to be read by ~/.bashrc. It needs nothing but bash 4.
std::string bash_completion(const CommandWords& program);

}  // namespace wainscot
