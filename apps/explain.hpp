#pragma once

#include <CLI/CLI.hpp>

namespace wainscot {

/// Adds the command `explain` to the program.
void add_explain(CLI::App& app);

}  // namespace wainscot
