#pragma once

// Where a table's row holds a whole turn of ranges: columns beside each other that go on alike.

#include "io/convert/log_sample.hpp"

namespace wainscot {

/// Moves each run of such columns out of `kind.columns` into an array of `kind.arrays`. Neighbouring beams meet the
/// same wall, so that they differ little from one another beside what each changes by while the robot drives; a
/// voltage, a count or a checksum beside them does not.
void gather_range_runs(RecordKind& kind);

}  // namespace wainscot
