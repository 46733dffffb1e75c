#pragma once

#include <CLI/CLI.hpp>

namespace wainscot {

/// `wainscot extend MAP DRIVE... --out NEW`.
void add_extend(CLI::App& app);

}  // namespace wainscot
