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

/// Sets one key of a plan's robot from text, "speed_m_s" or "lidar.beams". Throws InputError as `read_robot` does, with
/// `source` in place of the file.
void set_robot_key(RobotSpec& robot, const std::string& key, const std::string& value, const std::string& source);

}  // namespace wainscot::simulator
