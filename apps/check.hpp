#pragma once

#include <CLI/CLI.hpp>

namespace wainscot {

/// Adds the command `check`: what is in a log, what is wrong with it, and what mends it. When it runs it throws
/// `InputError` and `PoorData`.
void add_check(CLI::App& app);

}  // namespace wainscot
