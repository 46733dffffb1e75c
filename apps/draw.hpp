#pragma once

#include <CLI/CLI.hpp>

namespace wainscot {

/// Adds the command `draw`: a map as a picture. When it runs it throws `InputError`.
void add_draw(CLI::App& app);

}  // namespace wainscot
