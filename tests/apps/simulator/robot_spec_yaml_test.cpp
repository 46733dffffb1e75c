#include "apps/simulator/robot_spec_yaml.hpp"

#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"

namespace wainscot::simulator {
namespace {

const std::string kRobotPlanFile = "plan.yaml";

RobotSpec read(const std::string& text) {
  return read_robot({YAML::Load(text), kRobotPlanFile, "the plan", {"robot", "name"}});
}

TEST(RobotSpecYaml, WhatIsWrittenIsReadBackTheSame) {
  RobotSpec robot;
  robot.left_m_per_tick = -1.0 / 3000.0;
  robot.counter_bits = 16;
  robot.gyro = true;
  robot.motion_log = MotionLog::odometry;
  robot.lidar.beams = 723;
  robot.lidar.all_at_once = true;
  robot.lidar.scan_every_m = 1.5;
  robot.lidar.blind_to_deg = 12.5;
  const RobotSpec again = read(robot_text(robot));
  EXPECT_EQ(robot_text(again), robot_text(robot));
  EXPECT_EQ(again.left_m_per_tick, robot.left_m_per_tick);
  EXPECT_EQ(again.counter_bits, 16);
  EXPECT_EQ(again.motion_log, MotionLog::odometry);
  EXPECT_EQ(again.lidar.beams, 723);
  EXPECT_TRUE(again.lidar.all_at_once);
  EXPECT_EQ(again.lidar.scan_every_m, 1.5);
  EXPECT_EQ(again.lidar.blind_to_deg, 12.5);
}

TEST(RobotSpecYaml, WhatIsNotThereHasItsDefault) {
  EXPECT_EQ(robot_text(read("name: a")), robot_text(RobotSpec()));
  EXPECT_EQ(robot_text(read("robot: {}")), robot_text(RobotSpec()));
  EXPECT_EQ(robot_text(RobotSpec()).find("scan_every"), std::string::npos);
}

TEST(RobotSpecYaml, WhatNoRobotHasIsRefused) {
  EXPECT_THROW(read("robot: {counter_bits: 24}"), InputError);
  EXPECT_THROW(read("robot: {right_m_per_tick: 0}"), InputError);
  EXPECT_THROW(read("robot: {lidar: {beams: 3}}"), InputError);
  EXPECT_THROW(read("robot: {lidar_log: returns, lidar: {all_at_once: true}}"), InputError);
}

}  // namespace
}  // namespace wainscot::simulator
