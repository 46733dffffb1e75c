#pragma once

// What `build` looks at before the long work: gross faults that no refinement repairs, and where what robot.yaml states
// lies so far off that the mapping had better begin elsewhere.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/robot.hpp"
#include "graph/check/readable_log.hpp"

namespace wainscot {

struct FirstLook {
  /// One sentence each, with what mends it: faults that make every map wrong, gross ones first.
  std::vector<std::string> spoiling;
  /// robot.yaml with what the drive shows to be far off in its place; nullopt where nothing is, or anything is spoiling.
  std::optional<Robot> start;
  std::vector<std::string> notes;  ///< one sentence for each change in `start`
};

/// Looks at the first minutes in which the robot moves. A log that tells too little has no fault. `threads`: 0, all.
/// `progress`: the fraction done, 0..1; may be empty.
FirstLook first_look(const LogReadings& readings, int threads, const std::function<void(double)>& progress = {});

}  // namespace wainscot
