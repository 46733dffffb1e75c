#pragma once

// What `build` looks at before the long work: gross faults that no refinement repairs, and where what robot.yaml states
// lies so far off that the mapping had better begin elsewhere.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "core/robot.hpp"
#include "graph/check/readable_log.hpp"

namespace wainscot {

struct FirstLook {
  /// One sentence each, with what mends it: faults that make every map wrong, gross ones first.
  std::vector<std::string> spoiling;
  /// robot.yaml with what the drive shows to be far off in its place; nullopt where nothing is, or anything is
  /// spoiling.
  std::optional<Robot> start;
  std::vector<std::string> notes;  ///< one sentence for each change in `start`
};

/// Looks at both counters of the whole drive, and at a few stretches in haste; only where they are not as robot.yaml
/// has it, the first minutes in which the robot moves are checked, for which `readings` is called (the same log, as
/// read). A log that tells too little has no fault. `threads`: 0, as many as the machine has; the result does not
/// depend on it.
FirstLook first_look(const Drive& drive, const std::function<LogReadings()>& readings, int threads);

}  // namespace wainscot
