#pragma once

#include <CLI/CLI.hpp>

namespace wainscot {

/// Adds `follow DRIVE --out MAP`: maps a drive while it is recorded.
void add_follow(CLI::App& app);

}  // namespace wainscot
