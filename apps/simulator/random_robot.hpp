#pragma once

#include "apps/simulator/plan.hpp"
#include "apps/simulator/random.hpp"

namespace wainscot::simulator {

/// A hobby robot of any kind: 360 to 720 beams, one lidar in four with a field of 240 degrees, ranges of 6 to 12 m,
/// every form of log that a drive may have.
RobotSpec random_robot(Random& random);

/// A plan with such a robot, calibrated, in no house yet.
Plan plan_without_house(const char* name, Random& random);

}  // namespace wainscot::simulator
