#pragma once

#include "graph/check/readable_log.hpp"

namespace wainscot {

/// Makes of a log whose robot.yaml leaves out wheels and mounting what it is with those that the drive shows
/// (graph/motion/found_robot). Nothing changes where nothing is left out, nor where it throws `PoorData` as that does.
void find_robot(LogReadings& readings);

}  // namespace wainscot
