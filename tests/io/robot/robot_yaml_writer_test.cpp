#include "io/robot/robot_yaml_writer.hpp"

#include <gtest/gtest.h>

#include "io/robot/robot_yaml.hpp"

namespace wainscot {
namespace {

TEST(RobotYamlWriter, EveryConstantComesBack) {
  const std::string text = R"(wainscot_robot: 1
drive: {left_m_per_tick: -8.51234567890123e-5, right_m_per_tick: 8.5e-5, track_width_m: 0.3123456789012345,
        left_sd_m_per_tick: 1.0e-7, right_sd_m_per_tick: 1.1e-7, track_width_sd_m: 0.004,
        track_width_by_surface_m: {"wood: old": 0.31, carpet: 0.33}, counter_bits: 16}
motion_noise: {sd_m_per_sqrt_m: 0.03, sd_rad_per_sqrt_rad: 0.06}
odometry: {position_unit_m: 0.001, heading_unit_rad: 0.0174533}
gyro: {sign: -1, scale: 0.0174, bias_rad_s: 0.02, sd_rad_s: 0.011}
lidar: {x_m: 0.04, y_m: -0.01, heading_deg: 178.5, mirrored: true, sweep_s: 0.18, min_range_m: 0.2, max_range_m: 6.5,
        noise_m: 0.014, noise_per_m: 0.002, range_unit_m: 0.001, range_scale: 1.003, range_offset_m: -0.02,
        time_offset_s: 0.05, clock_rate: 1.0001, blind_deg: [[170, -170], [10, 20.5]]}
)";
  const Robot robot = parse_robot_yaml(text, "robot.yaml", WheelConstants::needed);
  const std::string written = robot_yaml_text(robot);
  const Robot again = parse_robot_yaml(written, "written", WheelConstants::needed);
  EXPECT_EQ(robot_yaml_text(again), written);
  EXPECT_EQ(again.drive->left_m_per_tick, -8.51234567890123e-5);
  EXPECT_EQ(again.drive->track_width_m, 0.3123456789012345);
  EXPECT_EQ(again.drive->track_width_by_surface_m, robot.drive->track_width_by_surface_m);
  EXPECT_EQ(again.drive->counter_bits, 16);
  EXPECT_EQ(again.drive->right_sd_m_per_tick, 1.1e-7);
  EXPECT_EQ(again.motion_noise.sd_rad_per_sqrt_rad, 0.06);
  EXPECT_EQ(again.odometry.position_m, 0.001);
  EXPECT_EQ(again.odometry.heading_rad, 0.0174533);
  EXPECT_EQ(again.gyro.sign, -1);
  EXPECT_EQ(again.gyro.scale, 0.0174);  // of a gyro in degrees a second
  EXPECT_EQ(again.gyro.bias_rad_s, 0.02);
  EXPECT_TRUE(again.lidar.mirrored);
  EXPECT_EQ(again.lidar.sweep_s, 0.18);
  EXPECT_EQ(again.lidar.clock_rate, 1.0001);
  EXPECT_EQ(again.lidar.blind_deg.size(), 2U);
  EXPECT_EQ(again.lidar.blind_deg[1].to_deg, 20.5);
}

TEST(RobotYamlWriter, WhatWasLeftOutStaysOut) {
  const Robot robot = parse_robot_yaml("wainscot_robot: 1\n", "robot.yaml", WheelConstants::optional);
  const Robot again = parse_robot_yaml(robot_yaml_text(robot), "written", WheelConstants::optional);
  EXPECT_FALSE(again.drive.has_value());
  EXPECT_FALSE(again.lidar.sweep_s.has_value());
  EXPECT_EQ(again.lidar.max_range_m, robot.lidar.max_range_m);
}

}  // namespace
}  // namespace wainscot
