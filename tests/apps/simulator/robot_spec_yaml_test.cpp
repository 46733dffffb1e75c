#include "apps/simulator/robot_spec_yaml.hpp"

#include <string>
#include <utility>

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
  robot.counters_dead = true;
  robot.motion_log = MotionLog::odometry;
  robot.lidar.beams = 723;
  robot.lidar.all_at_once = true;
  robot.lidar.scan_every_m = 1.5;
  robot.lidar.blind_to_deg = 12.5;
  const RobotSpec again = read(robot_text(robot));
  EXPECT_EQ(robot_text(again), robot_text(robot));
  EXPECT_EQ(again.left_m_per_tick, robot.left_m_per_tick);
  EXPECT_EQ(again.counter_bits, 16);
  EXPECT_TRUE(again.counters_dead);
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
  EXPECT_EQ(robot_text(RobotSpec()).find("dead"), std::string::npos);
}

TEST(RobotSpecYaml, WhatNoRobotHasIsRefused) {
  EXPECT_THROW(read("robot: {counter_bits: 24}"), InputError);
  EXPECT_THROW(read("robot: {right_m_per_tick: 0}"), InputError);
  EXPECT_THROW(read("robot: {lidar: {beams: 3}}"), InputError);
  EXPECT_THROW(read("robot: {lidar_log: returns, lidar: {all_at_once: true}}"), InputError);
}

TEST(RobotSpecYaml, OneKeyIsSetFromText) {
  RobotSpec robot;
  robot.left_m_per_tick = 1.0 / 7000.0;
  set_robot_key(robot, "lidar.field_deg", "180", "--robot");
  set_robot_key(robot, "lidar.beams", "3600", "--robot");
  set_robot_key(robot, "motion_log", "odometry", "--robot");
  set_robot_key(robot, "lidar.scan_every_m", "1.5", "--robot");
  RobotSpec expected;
  expected.left_m_per_tick = 1.0 / 7000.0;
  expected.lidar.field_deg = 180.0;
  expected.lidar.beams = 3600;
  expected.motion_log = MotionLog::odometry;
  expected.lidar.scan_every_m = 1.5;
  EXPECT_EQ(robot_text(robot), robot_text(expected));
  for (const auto& [key, value] : {std::pair("lidar.beam", "361"), {"lidar.beams", "1e9"}, {"speed", "1"}}) {
    try {
      set_robot_key(robot, key, value, "--robot it");
      FAIL() << key << " was accepted";
    } catch (const InputError& error) {
      EXPECT_TRUE(std::string(error.what()).starts_with("--robot it: ")) << error.what();
    }
  }
  EXPECT_EQ(robot_text(robot), robot_text(expected));
}

}  // namespace
}  // namespace wainscot::simulator
