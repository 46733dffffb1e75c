#pragma once

#include <CLI/CLI.hpp>

namespace wainscot {

/// Adds the command `locate`: where in a map a robot was on another drive. When it runs it throws `InputError` and
/// `PoorData`.
void add_locate(CLI::App& app);

}  // namespace wainscot
