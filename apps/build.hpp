#pragma once

#include <CLI/CLI.hpp>

namespace wainscot {

/// Adds the command `build`: a recorded drive in, a map's folder out. When it runs it throws `InputError` or
/// `PoorData`.
void add_build(CLI::App& app);

/// --cell-size, the side of the grid's cells in metres.
void add_cell_size(CLI::App& command, double& metres);

}  // namespace wainscot
