#pragma once

#include <CLI/CLI.hpp>

namespace wainscot {

/// Adds the command `compare`: how far paths lie from one another or from the true one, and how two maps differ. When
/// it runs it throws `InputError`, and `PoorData` where two maps share too few walls.
void add_compare(CLI::App& app);

}  // namespace wainscot
