#pragma once

// What a person who drives a robot by hand should do otherwise, at once.

#include <cstddef>
#include <deque>
#include <string>
#include <vector>

#include "graph/live/live_tracker.hpp"

namespace wainscot {

/// Looks at the last ten scans: a second of a usual lidar. One odd scan is no reason to speak.
class MomentWarnings {
 public:
  void add(const TrackedScan& scan);

  /// What holds now, a sentence each.
  std::vector<std::string> now() const;

 private:
  /// What is remembered of a scan.
  struct Seen {
    std::size_t number = 0;
    double time_s = 0.0;
    TrackedBy by = TrackedBy::walls;
    bool left_open = false;
    Tangent2 speed = Tangent2::Zero();
  };

  std::deque<Seen> last_;
};

}  // namespace wainscot
