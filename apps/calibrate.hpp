#pragma once

#include <CLI/CLI.hpp>

namespace wainscot {

/// The command `calibrate`: the robot's constants from runs with a tape or from a drive with scans.
void add_calibrate(CLI::App& app);

}  // namespace wainscot
