#pragma once

#include <filesystem>
#include <string>

#include "io/convert/drive_conversion.hpp"

namespace wainscot {

/// Where the drive's robot.yaml is from; `guessed` is a starter with what was found in it.
enum class RobotFile { given, kept, starter, guessed };

/// What `convert` says at the end, for people: what the drive holds, what was left out, and what to do next. Lines with
/// line ends.
std::string convert_account(const Conversion& conversion, RobotFile robot, const std::filesystem::path& drive);

}  // namespace wainscot
