#pragma once

// What the commands that make a map share around the job (apps/mapping/drive_map): its stages on the bar and in the
// timings, and the time that it took.

#include <string>

#include "apps/mapping/drive_map.hpp"
#include "apps/progress_bar.hpp"
#include "apps/timings.hpp"

namespace wainscot {

/// Begins a timing for each stage and moves the bar. The arguments must outlive it.
JobProgress shown_progress(ProgressBar& bar, Timings& timings);

/// "It took 3.1 s (1.2 s of processor time), 122 MB of memory at most.", as a line.
std::string took_text(const Timings& timings);

}  // namespace wainscot
