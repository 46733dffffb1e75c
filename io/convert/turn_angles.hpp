#pragma once

// Where a turn's ranges lie: what the log says of it beside them, or how their walls lie.

#include <string>
#include <vector>

#include "io/convert/log_sample.hpp"
#include "io/convert/range_guess.hpp"

namespace wainscot {

/// Sets `first`, `step`, `angles_told` and their items in `guess`. `turns`: ranges of some turns in their order, no
/// return as 0. Looked at in this order: columns of the record that hold start and step (or end), the headings of a
/// table's columns, an array of angles beside the ranges; else the whole circle, where the last range meets the first,
/// or what makes walls straight.
void guess_turn_angles(const RecordKind& kind, const std::vector<std::vector<double>>& turns, RangeGuess& guess);

}  // namespace wainscot
