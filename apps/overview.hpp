#pragma once

#include <CLI/CLI.hpp>

namespace wainscot {

/// The command `overview`: many maps at a glance. When it runs it throws `InputError`.
void add_overview(CLI::App& app);

}  // namespace wainscot
