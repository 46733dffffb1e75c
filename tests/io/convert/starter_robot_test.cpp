#include "io/convert/starter_robot.hpp"

#include <stdexcept>
#include <string>

#include <gtest/gtest.h>

#include "io/robot/robot_yaml.hpp"

namespace wainscot {
namespace {

/// The text with every key in use.
std::string with_all_keys(std::string text) {
  for (std::size_t at = text.find("\n  #"); at != std::string::npos; at = text.find("\n  #")) text.erase(at + 3, 1);
  return text;
}

LogColumns ways() {
  LogColumns columns;
  columns.wheels.emplace();
  columns.wheels->left.unit = "mm";
  columns.wheels->right.unit = "m";
  return columns;
}

TEST(StarterRobot, IsReadAsARobotWithoutConstants) {
  LogColumns counts;
  counts.wheels.emplace();
  for (const LogColumns& columns : {LogColumns{}, counts, ways()}) {
    const Robot robot = parse_robot_yaml(starter_robot_yaml(columns), "robot.yaml", WheelConstants::optional);
    EXPECT_FALSE(robot.drive.has_value());
  }
}

TEST(StarterRobot, WhatIsBehindTheMarksAreKeys) {
  const Robot robot = parse_robot_yaml(with_all_keys(starter_robot_yaml({})), "robot.yaml", WheelConstants::needed);
  EXPECT_EQ(robot.drive->track_width_m, 0.31);
  EXPECT_EQ(robot.drive->left_m_per_tick, 8.5e-5);
}

TEST(StarterRobot, AWayInMetresMakesATickKnown) {
  const Robot robot = parse_robot_yaml(with_all_keys(starter_robot_yaml(ways())), "robot.yaml", WheelConstants::needed);
  EXPECT_EQ(robot.drive->left_m_per_tick, 1e-6);
  EXPECT_EQ(robot.drive->right_m_per_tick, 1e-6);
}

TEST(StarterRobot, SetsAKey) {
  std::string text = starter_robot_yaml({});
  set_starter_key(text, "x_m", "0.25", "measured", StarterKey::used);
  EXPECT_EQ(parse_robot_yaml(text, "robot.yaml", WheelConstants::optional).lidar.x_m, 0.25);
  EXPECT_NE(text.find("# measured\n"), std::string::npos);
  EXPECT_THROW(set_starter_key(text, "no_such_key", "1", "", StarterKey::used), std::logic_error);
}

}  // namespace
}  // namespace wainscot
