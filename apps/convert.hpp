#pragma once

#include <CLI/CLI.hpp>

namespace wainscot {

/// `wainscot convert LOG... --columns FILE --out DRIVE`.
void add_convert(CLI::App& app);

}  // namespace wainscot
