#pragma once

// What is said of a wrong command line.

#include <string>
#include <vector>

#include <CLI/CLI.hpp>

namespace wainscot {

/// One line for a command line that `app` could not take, with where to look it up.
std::string usage_sentence(const CLI::App& app, const CLI::ParseError& error);

/// "help", "help COMMAND" and "version" as people type them: options of the program or of the command. Throws
/// `InputError` where the word behind help is no command.
std::vector<std::string> words_as_typed(const CLI::App& app, std::vector<std::string> words);

}  // namespace wainscot
