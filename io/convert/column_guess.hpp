#pragma once

// What stands where in a robot's own logs, by the logs alone. Columns are told by their numbers: the lidar's ranges by
// how neighbours are alike, everything else by whether it agrees with how the lidar moved. Names are evidence beside.

#include <vector>

#include "core/robot.hpp"
#include "io/convert/guess_items.hpp"
#include "io/convert/guessed_item.hpp"
#include "io/convert/log_columns.hpp"
#include "io/convert/log_sample.hpp"

namespace wainscot {

struct ColumnGuess {
  LogColumns columns;
  std::vector<GuessedItem> items;  ///< in the order in which people read them: files, scans, motion
  Robot robot;                     ///< with what the motion tells of it: ticks, track, mounting; defaults else
  bool robot_is_known = false;     ///< the wheels' constants and the mounting were found

  /// Whether anything is to be looked at.
  bool has_doubts() const;
};

/// Guesses everything. `ask` may be empty: then the likelier answer is taken. Throws `PoorData` where nothing in the
/// logs can be a lidar's ranges.
ColumnGuess guess_columns(const LogSample& sample, const AskUser& ask = {});

}  // namespace wainscot
