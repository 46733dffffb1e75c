#pragma once

// The robot.yaml that a converted drive begins with.

#include <string>
#include <string_view>

#include "io/convert/log_columns.hpp"

namespace wainscot {

/// The text of io/robot/starter.yaml, with what the logs' columns tell of the wheels: where they say how far each wheel
/// rolled, the way of a tick, still behind its # since the track width is not known.
std::string starter_robot_yaml(const LogColumns& columns);

/// Writes a value and why it is there into the line of a key, which the text has once behind a #.
enum class StarterKey { used, behind_mark };
void set_starter_key(std::string& text, std::string_view key, std::string_view value, std::string_view why,
                     StarterKey state);

}  // namespace wainscot
