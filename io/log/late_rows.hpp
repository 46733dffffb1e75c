#pragma once

// Rows that were stamped late: a buffer held them back while the robot drove, and then emptied at once. What the log
// shows is a pause of seconds, and behind it a step or several that no robot could have driven in the hundredths of a
// second between their stamps.

#include <cstddef>
#include <string>
#include <vector>

#include "io/log/motion_breaks.hpp"

namespace wainscot {

/// A run of rows that came at once after a pause.
struct LateBurst {
  std::size_t first = 0;        ///< row
  std::size_t last = 0;         ///< row, whose stamp is right: nothing waited behind it
  std::vector<double> times_s;  ///< of the rows first to last, growing strictly; the last one is as stamped
};

/// The bursts of a log, in its order, and when their rows were taken: evenly through the pause where about as many came
/// as the pause lacks, else as if the robot had driven steadily. Only where that makes an ordinary speed of what cannot
/// have been driven otherwise, and where the robot moved before the pause or after it: one that stood and then jumped
/// was pushed.
std::vector<LateBurst> find_late_bursts(const LogView& log);

/// One line for all of them.
void warn_of_late_bursts(const std::vector<LateBurst>& bursts, const LogView& log, const std::string& file,
                         std::vector<std::string>& warnings);

/// Sets the rows' times as found.
template <typename Row>
void mend_late_rows(const std::vector<LateBurst>& bursts, std::vector<Row>& rows) {
  for (const LateBurst& burst : bursts) {
    for (std::size_t i = burst.first; i <= burst.last; ++i) rows[i].time_s = burst.times_s[i - burst.first];
  }
}

}  // namespace wainscot
