#pragma once

// What robot.yaml left out and a drive's map found: for people, and as the robot.yaml that goes into the map's folder.

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "core/robot.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// Whether robot.yaml leaves out the constant of this name, as RefinedConstant has it.
bool is_left_out(const LeftOut& left_out, const std::string& name);

/// A robot.yaml with what the map found in the place of what was left out, standard uncertainties included; all else
/// of `text` stays byte for byte. `robot`: as the map was made with; `name`: the file as messages name it.
std::string completed_robot_yaml(std::string_view text, const std::string& name, const Robot& robot, const Map& map);

/// The values with their standard uncertainties, what sets their scale, what nobody can tell of them, and what to do
/// with the map's robot.yaml. Lines with line ends; empty where nothing is left out.
std::string left_out_lines(const Robot& robot, const Map& map, const std::filesystem::path& map_folder);

}  // namespace wainscot
