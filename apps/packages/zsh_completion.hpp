#pragma once

// Completion for zsh: commands, options with what they mean, and what they take.

#include <string>

#include "apps/command_words.hpp"

namespace wainscot {

/// The file _wainscot for a folder of zsh's fpath.
std::string zsh_completion(const CommandWords& program);

}  // namespace wainscot
