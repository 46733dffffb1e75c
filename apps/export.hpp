#pragma once

#include <CLI/CLI.hpp>

namespace wainscot {

/// Adds the command `export`: a map as files for other programs. When it runs it throws `InputError`, and `PoorData`
/// where the map has no wall to measure clearances from.
void add_export(CLI::App& app);

}  // namespace wainscot
