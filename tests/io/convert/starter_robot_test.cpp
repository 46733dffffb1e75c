#include "io/convert/starter_robot.hpp"

#include <string>

#include <gtest/gtest.h>

#include "io/robot/robot_yaml.hpp"

namespace wainscot {
namespace {

TEST(StarterRobot, IsReadAsARobotWithoutConstants) {
  LogColumns columns;
  columns.wheels.emplace();
  columns.gyro.emplace();
  const std::string text = starter_robot_yaml(columns);
  EXPECT_FALSE(parse_robot_yaml(text, "robot.yaml", WheelConstants::optional).drive.has_value());
  EXPECT_NE(text.find("# track_width_m"), std::string::npos);
  columns.wheels.reset();
  EXPECT_EQ(starter_robot_yaml(columns).find("drive:"), std::string::npos);
}

// Every line that is commented out is one that a robot.yaml may have.
TEST(StarterRobot, ItsCommentsAreKeys) {
  LogColumns columns;
  columns.wheels.emplace();
  columns.gyro.emplace();
  std::string text = starter_robot_yaml(columns);
  for (std::size_t at = text.find("\n  # "); at != std::string::npos; at = text.find("\n  # ")) text.erase(at + 3, 2);
  text.replace(text.find("\n# gyro"), 3, "\n");
  const Robot robot = parse_robot_yaml(text, "robot.yaml", WheelConstants::needed);
  EXPECT_EQ(robot.drive->track_width_m, 0.31);
  EXPECT_EQ(robot.lidar.blind_deg.size(), 1U);
}

TEST(StarterRobot, AWayInMetresMakesATickKnown) {
  LogColumns columns;
  columns.wheels.emplace();
  columns.wheels->left.unit = "mm";
  columns.wheels->right.unit = "m";
  std::string text = starter_robot_yaml(columns);
  const std::string width = "# track_width_m";
  text.replace(text.find(width), 2, "");
  EXPECT_EQ(parse_robot_yaml(text, "robot.yaml", WheelConstants::needed).drive->left_m_per_tick, 1e-6);
}

}  // namespace
}  // namespace wainscot
