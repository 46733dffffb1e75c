#include "apps/mapping/left_out.hpp"

#include <algorithm>
#include <cstddef>
#include <iterator>

#include <fmt/format.h>

#include "io/number_text.hpp"
#include "io/robot/robot_yaml_edit.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

/// "drive.left_m_per_tick" as the way to a key of robot.yaml.
std::vector<std::string> key_path(const std::string& name) {
  const std::size_t dot = name.find('.');
  return {name.substr(0, dot), name.substr(dot + 1)};
}

/// "drive.left_m_per_tick" has "drive.left_sd_m_per_tick" beside it, a width "track_width_sd_m".
std::string sd_key(const std::string& key) {
  const std::size_t unit = key.rfind(key.ends_with("_m_per_tick") ? "_m_per_tick" : "_m");
  return key.substr(0, unit) + "_sd" + key.substr(unit);
}

std::string mirror_lines(const LeftOut& left_out) {
  if (!left_out.mirrored) {
    return "The motion cannot tell a robot from its mirror image: is the map your home's mirror image, then the "
           "wheels' columns are exchanged and the lidar's angles run clockwise.\n";
  }
  return "The lidar's angles were taken to run clockwise (mirrored: true), or both counters would run backwards. Is "
         "the map your home's mirror image, then the counters do so, or their columns are exchanged: write "
         "mirrored: false under lidar, and build again.\n";
}

}  // namespace

bool is_left_out(const LeftOut& left_out, const std::string& name) {
  if (name.starts_with("drive.")) return left_out.wheels;
  return left_out.mounting && (name == "lidar.x_m" || name == "lidar.y_m" || name == "lidar.heading_deg");
}

std::string completed_robot_yaml(std::string_view text, const std::string& name, const Robot& robot, const Map& map) {
  std::vector<RobotChange> changes;
  for (const RefinedConstant& c : map.constants) {
    if (!is_left_out(robot.left_out, c.name) && c.name != "lidar.time_offset_s") continue;
    const std::vector<std::string> path = key_path(c.name);
    changes.push_back({path, fmt::format("{:.6g}", c.found)});
    if (path[0] == "drive") changes.push_back({{path[0], sd_key(path[1])}, fmt::format("{:.2g}", c.found_sd)});
  }
  if (robot.left_out.mirrored) changes.push_back({{"lidar", "mirrored"}, "true"});
  return edited_robot_yaml(text, name, changes);
}

std::string left_out_lines(const Robot& robot, const Map& map, const std::filesystem::path& map_folder) {
  if (!robot.left_out.wheels || !robot.left_out.found) return "";
  std::string text = "robot.yaml leaves these out, and the drive shows them (with standard uncertainties):\n";
  for (const RefinedConstant& c : map.constants) {
    if (!is_left_out(robot.left_out, c.name)) continue;
    const UncertainText found = uncertain_text(c.found, c.found_sd);
    fmt::format_to(std::back_inserter(text), "  {:<22}  {} {} ({})\n", c.name, found.value, c.unit, found.sd);
  }
  text += mirror_lines(robot.left_out);
  const std::string folder = shell_word(map_folder.string());
  return text +
         fmt::format(
             "All lengths are in the lidar's metre, good to {}: measure a long room with a tape, ask for the "
             "map's length with wainscot measure {} --room X,Y, and write tape / map as range_scale under lidar.\n"
             "{} holds all of this: copy it into the folders of this robot's drives.\n",
             percent_text(map.quality.scale_sd), folder, shell_word((map_folder / "robot.yaml").string()));
}

}  // namespace wainscot
