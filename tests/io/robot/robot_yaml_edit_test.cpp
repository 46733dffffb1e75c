#include "io/robot/robot_yaml_edit.hpp"

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "io/robot/robot_yaml.hpp"

namespace wainscot {
namespace {

const std::vector<RobotChange> kChanges = {{{"drive", "left_m_per_tick"}, "9.5e-5"},
                                           {{"drive", "track_width_m"}, "0.3055"},
                                           {{"drive", "track_width_sd_m"}, "0.002"},
                                           {{"drive", "track_width_by_surface_m", "wood"}, "0.305"},
                                           {{"drive", "track_width_by_surface_m", "thick carpet"}, "0.32"},
                                           {{"lidar", "heading_deg"}, "-1.5"},
                                           {{"lidar", "time_offset_s"}, "-0.02"}};

void expect_changed(const std::string& text) {
  const Robot robot = parse_robot_yaml(text, "robot.yaml", WheelConstants::needed);
  EXPECT_EQ(robot.drive->left_m_per_tick, 9.5e-5) << text;
  EXPECT_EQ(robot.drive->right_m_per_tick, 8e-5) << text;
  EXPECT_EQ(robot.drive->track_width_m, 0.3055) << text;
  EXPECT_EQ(robot.drive->track_width_sd_m, 0.002) << text;
  EXPECT_EQ(robot.drive->track_width_by_surface_m.at("wood"), 0.305) << text;
  EXPECT_EQ(robot.drive->track_width_by_surface_m.at("thick carpet"), 0.32) << text;
  EXPECT_EQ(robot.lidar.heading_deg, -1.5) << text;
  EXPECT_EQ(robot.lidar.time_offset_s, -0.02) << text;
}

TEST(RobotYamlEdit, KeepsCommentsOrderAndOtherKeys) {
  const std::string before =
      "# my robot\nwainscot_robot: 1\ndrive:  # the wheels\n  # by the data sheet\n  left_m_per_tick: 8e-5   # left\n"
      "  right_m_per_tick: 8e-5\n  track_width_m: 0.31\n  track_width_by_surface_m: {wood: 0.3, tiles: 0.29}\n"
      "gyro: {sign: -1}\nlidar:\n  x_m: 0.04\n  heading_deg: 0.0 # straight\n";
  const std::string after = edited_robot_yaml(before, "robot.yaml", kChanges);
  expect_changed(after);
  EXPECT_EQ(after,
            "# my robot\nwainscot_robot: 1\ndrive:  # the wheels\n  # by the data sheet\n  left_m_per_tick: 9.5e-5   # "
            "left\n  right_m_per_tick: 8e-5\n  track_width_m: 0.3055\n  track_width_sd_m: 0.002\n"
            "  track_width_by_surface_m: {'thick carpet': 0.32, wood: 0.305, tiles: 0.29}\n"
            "gyro: {sign: -1}\nlidar:\n  x_m: 0.04\n  heading_deg: -1.5 # straight\n  time_offset_s: -0.02\n");
  EXPECT_EQ(edited_robot_yaml(before, "robot.yaml", {}), before);
}

TEST(RobotYamlEdit, EveryLayout) {
  const char* const layouts[] = {
      // flow
      "wainscot_robot: 1\ndrive: {left_m_per_tick: 8e-5, right_m_per_tick: 8e-5, track_width_m: 0.31}\nlidar: {}\n",
      // no lidar, no line end, a quoted value
      "wainscot_robot: 1\ndrive:\n    left_m_per_tick: '8e-5'\n    right_m_per_tick: 8e-5\n    track_width_m: 0.31",
      // an empty section, surfaces as lines, CR LF
      ("wainscot_robot: 1\r\nlidar:\r\n  # x_m: 0.04\r\ndrive:\r\n  track_width_by_surface_m:\r\n    wood: 0.3\r\n"
       "    tiles: 0.29\r\n  left_m_per_tick: 8e-5\r\n  right_m_per_tick: 8e-5\r\n  track_width_m: 0.31\r\n"),
      // an empty section at the end
      "wainscot_robot: 1\ndrive:\n  left_m_per_tick: 8e-5\n  right_m_per_tick: 8e-5\n  track_width_m: 0.31\nlidar:"};
  for (const char* layout : layouts) expect_changed(edited_robot_yaml(layout, "robot.yaml", kChanges));
}

TEST(RobotYamlEdit, RefusesWhatIsNoRobotYaml) {
  EXPECT_THROW(edited_robot_yaml("wainscot_robot: 1\nwheels: 3\n", "robot.yaml", kChanges), InputError);
  EXPECT_THROW(edited_robot_yaml("wainscot_robot: 1\n", "robot.yaml", {{{"drive", "left_m_per_tick"}, "wide"}}),
               InputError);
}

}  // namespace
}  // namespace wainscot
