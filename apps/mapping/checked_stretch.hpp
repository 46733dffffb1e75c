#pragma once

// The part of a log that a check looks at: as much as can be checked in bounded time, whatever its times and beams are.

#include <string>
#include <vector>

#include "graph/check/finding.hpp"
#include "graph/check/readable_log.hpp"

namespace wainscot {

struct CheckedStretch {
  LogReadings readings;
  std::vector<Finding> findings;   ///< where the log's times jump
  std::vector<std::string> notes;  ///< what was not looked at; one sentence each
};

/// Between times at which nothing was logged for a minute, the stretch with most scans, an hour of it at most, and of
/// its scans every second or third ... beam where there are too many. Work and memory of what comes after then grow
/// with the rows, not with the time that they span. Throws `PoorData` where hardly any scans are left. Times
/// are seconds, as graph/check/time_units makes them.
CheckedStretch checked_stretch(LogReadings readings);

}  // namespace wainscot
