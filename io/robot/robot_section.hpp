#pragma once

#include <string>

#include "io/robot/yaml_section.hpp"

namespace wainscot {

/// One mapping of robot.yaml. `name`: drive, motion_noise, odometry, gyro or lidar; empty: the top level. Throws
/// `InputError` as `YamlSection` does.
class RobotSection : public YamlSection {
 public:
  RobotSection(std::string file, const std::string& name, const YAML::Node& node);
};

}  // namespace wainscot
