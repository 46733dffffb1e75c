#pragma once

#include <CLI/CLI.hpp>

namespace wainscot {

/// Adds the command `compare`: how far a map's paths lie from the true one. When it runs it throws `InputError`.
void add_compare(CLI::App& app);

}  // namespace wainscot
