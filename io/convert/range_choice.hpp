#pragma once

// Which of the columns that may be ranges the lidar's are.

#include "io/convert/guess_items.hpp"
#include "io/convert/lidar_track.hpp"
#include "io/convert/log_sample.hpp"
#include "io/convert/range_guess.hpp"

namespace wainscot {

struct ChosenRanges {
  RangeGuess ranges;
  LidarTrack track;  ///< how the lidar moved by them
};

/// Of several the one whose turns fit one another best. Tells of it, and asks for the unit. Throws `PoorData` where
/// nothing in the sample can be a lidar's ranges.
ChosenRanges choose_ranges(const LogSample& sample, GuessItems& items);

}  // namespace wainscot
