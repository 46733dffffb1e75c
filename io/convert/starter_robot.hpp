#pragma once

#include <string>

#include "io/convert/log_columns.hpp"

namespace wainscot {

/// A robot.yaml to begin with: what the logs' columns tell of the robot, all other keys commented out, with what to
/// measure.
std::string starter_robot_yaml(const LogColumns& columns);

}  // namespace wainscot
