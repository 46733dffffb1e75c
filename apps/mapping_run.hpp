#pragma once

// What the commands that make a map share around the mapper: its stages on the bar and in the timings, and the end.

#include <filesystem>
#include <functional>
#include <string>

#include "apps/progress_bar.hpp"
#include "apps/timings.hpp"
#include "core/drives.hpp"
#include "graph/map.hpp"

namespace wainscot {

constexpr double kReadingShare = 0.05;  ///< of the bar, before the mapper, for a drive of some minutes,
constexpr double kMappingShare = 0.90;  ///< and the mapper's; the rest is writing

/// For MapperOptions::progress: begins a timing for each stage and moves the bar. The arguments must outlive it.
std::function<void(const std::string& stage, double fraction)> mapping_progress(ProgressBar& bar, Timings& timings);

/// "It took 3.1 s (1.2 s of processor time), 122 MB of memory at most.", as a line.
std::string took_text(const Timings& timings);

/// Throws PoorData where the map at `out`, made from `drives`, is not to be used, with the reason.
void require_usable(const Map& map, Drives drives, const std::filesystem::path& out);

}  // namespace wainscot
