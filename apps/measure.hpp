#pragma once

#include <CLI/CLI.hpp>

namespace wainscot {

/// The command `measure`: distances between wall faces of a map, and tapes held against it. When it runs it throws
/// `InputError` and `PoorData`.
void add_measure(CLI::App& app);

}  // namespace wainscot
