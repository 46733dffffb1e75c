#pragma once

#include <string>

#include "core/robot.hpp"

namespace wainscot {

/// A robot.yaml of every constant, which `parse_robot_yaml` reads back to the same values bit by bit.
std::string robot_yaml_text(const Robot& robot);

}  // namespace wainscot
