#pragma once

// Tapes as commands take them in: a list and how well a tape was read.

#include <filesystem>
#include <string>
#include <vector>

#include <CLI/CLI.hpp>

#include "graph/measure/tape_evidence.hpp"

namespace wainscot {

/// The option --tape-sd, in metres.
void add_tape_sd(CLI::App& command, double& tape_sd_m);

/// The rows of tapes.csv that say what a tape measured, as constraints for `build`. Rows without tape_m are passed
/// over. Throws `InputError`, also where no row has one.
std::vector<LaidTape> laid_tapes(const std::filesystem::path& file, double tape_sd_m,
                                 std::vector<std::string>& warnings);

}  // namespace wainscot
