#include "apps/mapping/left_out.hpp"

#include <gtest/gtest.h>

#include "io/robot/robot_yaml.hpp"

namespace wainscot {
namespace {

Map found_map() {
  Map map;
  map.constants = {{"drive.left_m_per_tick", "m/tick", 1e-4, 2e-6, 1.02e-4, 5e-7, true},
                   {"drive.right_m_per_tick", "m/tick", 1e-4, 2e-6, -1.03e-4, 5e-7, true},
                   {"drive.track_width_m", "m", 0.3, 0.012, 0.312, 0.003, true},
                   {"lidar.x_m", "m", 0.04, 0.02, 0.0412, 0.001, true},
                   {"lidar.y_m", "m", 0.0, 0.02, -0.003, 0.002, true},
                   {"lidar.heading_deg", "deg", 90.0, 1.7, 89.4, 0.05, true},
                   {"lidar.time_offset_s", "s", -0.5, 0.05, -0.512, 0.001, true},
                   {"lidar.range_scale", "1", 1.0, 0.005, 1.0001, 0.005, false}};
  map.quality.scale_sd = 0.005;
  return map;
}

TEST(LeftOut, TheCompletedFileReadsBackAndKeepsEverythingElse) {
  Robot robot;
  robot.left_out = {true, true, false, true};
  const std::string text = "# my robot\nwainscot_robot: 1\ndrive:\n  counter_bits: 16  # an old board\n";
  const std::string completed = completed_robot_yaml(text, "robot.yaml", robot, found_map());
  EXPECT_EQ(completed.find(text), 0U);
  const Robot read = parse_robot_yaml(completed, "completed", WheelConstants::needed);
  EXPECT_EQ(read.drive->left_m_per_tick, 1.02e-4);
  EXPECT_EQ(read.drive->right_m_per_tick, -1.03e-4);
  EXPECT_EQ(read.drive->left_sd_m_per_tick, 5e-7);
  EXPECT_EQ(read.drive->track_width_m, 0.312);
  EXPECT_EQ(read.drive->track_width_sd_m, 0.003);
  EXPECT_EQ(read.drive->counter_bits, 16);
  EXPECT_EQ(read.lidar.x_m, 0.0412);
  EXPECT_EQ(read.lidar.heading_deg, 89.4);
  EXPECT_EQ(read.lidar.time_offset_s, -0.512);
  EXPECT_EQ(read.lidar.range_scale, 1.0);
  EXPECT_FALSE(read.lidar.mirrored);
}

TEST(LeftOut, AMountingThatIsStatedStays) {
  Robot robot;
  robot.left_out = {true, false, true, true};
  const std::string completed =
      completed_robot_yaml("wainscot_robot: 1\nlidar:\n  x_m: 0.05\n", "robot.yaml", robot, found_map());
  const Robot read = parse_robot_yaml(completed, "completed", WheelConstants::needed);
  EXPECT_EQ(read.lidar.x_m, 0.05);
  EXPECT_EQ(read.lidar.heading_deg, 0.0);
  EXPECT_TRUE(read.lidar.mirrored);
  EXPECT_FALSE(is_left_out(robot.left_out, "lidar.x_m"));
  EXPECT_TRUE(is_left_out(robot.left_out, "drive.track_width_m"));
  EXPECT_FALSE(is_left_out({}, "drive.track_width_m"));
}

TEST(LeftOut, PeopleAreToldTheValuesTheScaleAndTheMirror) {
  Robot robot;
  EXPECT_EQ(left_out_lines(robot, found_map(), "my map"), "");
  robot.left_out = {true, true, false, true};
  const std::string text = left_out_lines(robot, found_map(), "my map");
  EXPECT_NE(text.find("  drive.track_width_m     0.3120 m (0.0030)\n"), std::string::npos) << text;
  EXPECT_NE(text.find("lidar's metre, good to 0.5"), std::string::npos) << text;
  EXPECT_NE(text.find("wainscot measure 'my map' --room X,Y"), std::string::npos) << text;
  EXPECT_NE(text.find("'my map/robot.yaml' holds all of this"), std::string::npos) << text;
  EXPECT_NE(text.find("mirror image"), std::string::npos);
  EXPECT_EQ(text.find("range_scale  "), std::string::npos) << "what is not left out stands elsewhere";
  robot.left_out.mirrored = true;
  EXPECT_NE(left_out_lines(robot, found_map(), "my map").find("write mirrored: false"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
