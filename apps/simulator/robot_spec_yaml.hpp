#pragma once

// The robot and its lidar in a plan's file.

#include <string>

#include "apps/simulator/plan.hpp"
#include "apps/simulator/plan_section.hpp"

namespace wainscot::simulator {

/// The section `robot`, with the defaults of RobotSpec where a key or all of it is missing. Throws InputError.
RobotSpec read_robot(const PlanSection& plan);

/// The section that `read_robot` gives back unchanged, with its key.
std::string robot_text(const RobotSpec& robot);

}  // namespace wainscot::simulator
