#pragma once

// Changing single values of a robot.yaml in place: comments, order, layout and all other keys stay as they are.

#include <string>
#include <string_view>
#include <vector>

namespace wainscot {

struct RobotChange {
  std::vector<std::string> path;  ///< of keys: {"drive", "track_width_m"}, or one more for a map of surfaces
  std::string value;              ///< as it is to stand in the file: a number
};

/// The text with the changes: a key that is there gets the new value, another one is added to its section, and a
/// section that is not there is added at the end. `name`: the file as messages name it. Throws `InputError` where the
/// result would not be a robot.yaml.
std::string edited_robot_yaml(std::string_view text, const std::string& name, const std::vector<RobotChange>& changes);

}  // namespace wainscot
