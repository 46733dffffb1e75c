#pragma once

#include <CLI/CLI.hpp>

namespace wainscot {

/// Adds the command `build`: a recorded drive in, a map's folder out. When it runs it throws `InputError` or
/// `PoorData`.
void add_build(CLI::App& app);

}  // namespace wainscot
