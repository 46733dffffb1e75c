#pragma once

// tapes.csv: places to measure between, and what a tape says of them (io/FORMATS.md).

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "graph/measure/tape.hpp"

namespace wainscot {

struct NamedTape {
  std::string name;
  Tape tape;
  std::optional<double> tape_m;  ///< what the tape says; nullopt: an empty cell
};

struct TapeList {
  std::vector<NamedTape> tapes;
  bool has_tape_column = false;
};

/// Throws `InputError`, also for a tape that says nothing above 0 and for two points that are the same.
TapeList read_tapes(const std::filesystem::path& file, std::vector<std::string>& warnings);

}  // namespace wainscot
