#pragma once

#include <string>

#include "graph/check/readable_log.hpp"

namespace wainscot {

/// Makes of a log whose robot.yaml leaves out wheels and mounting what it is with those that the drive shows
/// (graph/motion/found_robot). Nothing changes where nothing is left out, nor where it throws `PoorData` as that does.
void find_robot(LogReadings& readings);

/// The same for a check, which has something to say in any case: never throws; one sentence, without the full stop, on
/// what stands in the place of what is left out, or "" where nothing is.
std::string find_robot_or_why(LogReadings& readings);

}  // namespace wainscot
