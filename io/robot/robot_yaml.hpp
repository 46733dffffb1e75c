#pragma once

// The robot's constants from `robot.yaml` (io/FORMATS.md lists every key).

#include <cstddef>
#include <filesystem>
#include <string>
#include <string_view>

#include "core/robot.hpp"

namespace wainscot {

/// Whether the three constants of `drive:` must be there, may be left out all together since the drive itself can tell
/// them (wheels.csv is used), or may be left out (odometry.csv is).
enum class WheelConstants { needed, findable, optional };

/// Bytes of the largest robot.yaml that is read; one with long comments has some thousands.
inline constexpr std::size_t kLargestRobotFile = 100'000;

/// Reads a robot.yaml. Throws `InputError` that names the file, the line and the key. `checksum`, where not null,
/// receives the SHA-256 of the file's bytes.
Robot read_robot_yaml(const std::filesystem::path& path, WheelConstants wheel_constants,
                      std::string* checksum = nullptr);

/// The same from text in memory; `name` is the file as messages name it. `Robot::drive` is set where all three
/// constants are there; where they are findable and left out it is set too, with zeros, and `Robot::left_out` tells.
Robot parse_robot_yaml(std::string_view text, const std::string& name, WheelConstants wheel_constants);

}  // namespace wainscot
