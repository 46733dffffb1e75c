#pragma once

// A wheel's counter that does not count, from the start or from some moment on: no map is right with it. Of four
// simulated homes the maps were 0.07 to 4.6 m off (RMSE, aligned with scale) where it never counted, 0.2 to 1.1 m where
// it stopped half-way.

#include <optional>

#include "core/drive.hpp"
#include "graph/check/finding.hpp"

namespace wainscot {

/// By wheels.csv and robot.yaml's constants alone: a wheel may stand while the robot turns round it, but not for two
/// full turns. nullopt: both count, or there is no wheels.csv.
std::optional<Finding> dead_counter(const Drive& drive);

}  // namespace wainscot
