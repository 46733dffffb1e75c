#pragma once

// The program's commands and options, as the library for arguments takes them.

#include <memory>

#include <CLI/CLI.hpp>

namespace wainscot {

/// All commands; parsing a line runs the one that was given, by its callback.
std::unique_ptr<CLI::App> command_line();

}  // namespace wainscot
