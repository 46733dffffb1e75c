#include "io/robot/robot_yaml.hpp"

#include <gtest/gtest.h>

#include <string>

#include "core/errors.hpp"

namespace wainscot {
namespace {

Robot parse(const std::string& text) { return parse_robot_yaml(text, "robot.yaml", WheelConstants::needed); }

// The message of the refusal, or "" where the text is accepted.
std::string refusal(const std::string& text, WheelConstants constants = WheelConstants::optional) {
  try {
    parse_robot_yaml(text, "robot.yaml", constants);
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

const std::string kDrive = "drive: {left_m_per_tick: 8.5e-5, right_m_per_tick: 8.5e-5, track_width_m: 0.31}\n";

// The example of io/FORMATS.md, every value changed.
TEST(RobotYaml, EveryKey) {
  const Robot robot = parse(R"(wainscot_robot: 1
drive:                       # a comment
  left_m_per_tick: -8.1e-5
  right_m_per_tick: 8.2e-5
  track_width_m: 0.32
  left_sd_m_per_tick: 1.1e-7
  right_sd_m_per_tick: 1.2e-7
  track_width_sd_m: 0.005
  track_width_by_surface_m: {wood: 0.31, Teppich grün: 0.33}
  counter_bits: 16
motion_noise:
  sd_m_per_sqrt_m: 0.03
  sd_rad_per_sqrt_rad: 0.06
gyro: {sign: -1, scale: 1.01, bias_rad_s: -0.02, sd_rad_s: 0.011}
lidar:
  x_m: 0.04
  y_m: -0.01
  heading_deg: 179.5
  mirrored: true
  sweep_s: 0.18
  min_range_m: 0.16
  max_range_m: 8.5
  noise_m: 0.016
  noise_per_m: 0.001
  range_unit_m: 0.001
  range_scale: 1.002
  range_offset_m: -0.003
  time_offset_s: -0.02
  clock_rate: 1.00005
  blind_deg: [[170, -170], [30.5, 40]]
)");
  ASSERT_TRUE(robot.drive);
  EXPECT_EQ(robot.drive->left_m_per_tick, -8.1e-5);
  EXPECT_EQ(robot.drive->right_m_per_tick, 8.2e-5);
  EXPECT_EQ(robot.drive->track_width_m, 0.32);
  EXPECT_EQ(robot.drive->left_sd_m_per_tick, 1.1e-7);
  EXPECT_EQ(robot.drive->right_sd_m_per_tick, 1.2e-7);
  EXPECT_EQ(robot.drive->track_width_sd_m, 0.005);
  EXPECT_EQ(robot.drive->track_width_by_surface_m,
            (std::map<std::string, double>{{"wood", 0.31}, {"Teppich grün", 0.33}}));
  EXPECT_EQ(robot.drive->counter_bits, 16);
  EXPECT_EQ(robot.motion_noise.sd_m_per_sqrt_m, 0.03);
  EXPECT_EQ(robot.motion_noise.sd_rad_per_sqrt_rad, 0.06);
  EXPECT_EQ(robot.gyro.sign, -1);
  EXPECT_EQ(robot.gyro.scale, 1.01);
  EXPECT_EQ(robot.gyro.bias_rad_s, -0.02);
  EXPECT_EQ(robot.gyro.sd_rad_s, 0.011);
  const LidarConstants& lidar = robot.lidar;
  EXPECT_EQ(lidar.x_m, 0.04);
  EXPECT_EQ(lidar.y_m, -0.01);
  EXPECT_EQ(lidar.heading_deg, 179.5);
  EXPECT_TRUE(lidar.mirrored);
  EXPECT_EQ(lidar.sweep_s, 0.18);
  EXPECT_EQ(lidar.min_range_m, 0.16);
  EXPECT_EQ(lidar.max_range_m, 8.5);
  EXPECT_EQ(lidar.noise_m, 0.016);
  EXPECT_EQ(lidar.noise_per_m, 0.001);
  EXPECT_EQ(lidar.range_unit_m, 0.001);
  EXPECT_EQ(lidar.range_scale, 1.002);
  EXPECT_EQ(lidar.range_offset_m, -0.003);
  EXPECT_EQ(lidar.time_offset_s, -0.02);
  EXPECT_EQ(lidar.clock_rate, 1.00005);
  ASSERT_EQ(lidar.blind_deg.size(), 2u);
  EXPECT_EQ(lidar.blind_deg[0].from_deg, 170.0);
  EXPECT_EQ(lidar.blind_deg[0].to_deg, -170.0);
  EXPECT_EQ(lidar.blind_deg[1].from_deg, 30.5);
  EXPECT_EQ(lidar.blind_deg[1].to_deg, 40.0);
}

TEST(RobotYaml, WhatIsLeftOutKeepsItsDefault) {
  const Robot robot = parse("wainscot_robot: 1\n" + kDrive);
  EXPECT_EQ(robot.drive->left_sd_m_per_tick, std::nullopt);
  EXPECT_EQ(robot.drive->counter_bits, 32);
  EXPECT_EQ(robot.lidar.sweep_s, std::nullopt);
  EXPECT_EQ(robot.lidar.max_range_m, 8.0);
  EXPECT_EQ(robot.motion_noise.sd_m_per_sqrt_m, 0.02);
  EXPECT_EQ(parse("wainscot_robot: 1\n" + kDrive + "lidar:\n  # x_m: 0.04\n").lidar.x_m, 0.0);
}

TEST(RobotYaml, WheelConstantsMayBeLeftOutForOdometry) {
  EXPECT_EQ(refusal("wainscot_robot: 1\n"), "");
  EXPECT_EQ(refusal("wainscot_robot: 1\ndrive: {track_width_m: 0.3}\n"), "");
  EXPECT_EQ(refusal("wainscot_robot: 1\n", WheelConstants::needed),
            "robot.yaml:1: drive is missing, but wheels.csv needs it; add left_m_per_tick, right_m_per_tick and "
            "track_width_m");
  EXPECT_EQ(
      refusal("wainscot_robot: 1\ndrive:\n  left_m_per_tick: 1e-4\n  track_width_m: 0.3\n", WheelConstants::needed),
      "robot.yaml:3: drive.right_m_per_tick is missing, but wheels.csv needs it; add it");
}

TEST(RobotYaml, WhatTheDriveItselfCanTellMayBeLeftOutTogether) {
  const auto findable = [](const std::string& text) {
    return parse_robot_yaml("wainscot_robot: 1\n" + text, "robot.yaml", WheelConstants::findable);
  };
  const Robot nothing = findable("");
  ASSERT_TRUE(nothing.drive);
  EXPECT_EQ(nothing.drive->left_m_per_tick, 0.0);
  EXPECT_TRUE(nothing.left_out.wheels && nothing.left_out.mounting && nothing.left_out.mirrored);
  EXPECT_FALSE(nothing.left_out.found);
  const Robot some =
      findable("drive: {counter_bits: 16, left_sd_m_per_tick: 1e-7}\nlidar: {y_m: 0.1, mirrored: false}\n");
  EXPECT_EQ(some.drive->counter_bits, 16);
  EXPECT_EQ(some.drive->left_sd_m_per_tick, std::nullopt);
  EXPECT_TRUE(some.left_out.wheels);
  EXPECT_FALSE(some.left_out.mounting || some.left_out.mirrored);
  EXPECT_TRUE(findable("drive:\n  # left_m_per_tick: 1e-4\nlidar:\n  # x_m: 0\n").left_out.mounting);
  const Robot all = findable(kDrive);
  EXPECT_FALSE(all.left_out.wheels || all.left_out.mounting || all.left_out.mirrored);
  EXPECT_EQ(refusal("wainscot_robot: 1\ndrive: {track_width_m: 0.3}\n", WheelConstants::findable),
            "robot.yaml:2: drive.left_m_per_tick is missing, but wheels.csv needs it; add it, or leave out both "
            "m_per_tick and the track width: build then finds all three from the drive");
}

// Every beam is held against each: 9,000 of them took check 11 s.
TEST(RobotYaml, HasAHundredBlindSectorsAtMost) {
  const auto with_sectors = [](int count) {
    std::string text = "wainscot_robot: 1\nlidar:\n  blind_deg: [";
    for (int i = 0; i < count; ++i) text += "[1, 2], ";
    return text + "]\n";
  };
  EXPECT_EQ(refusal(with_sectors(100)), "");
  EXPECT_EQ(refusal(with_sectors(101)),
            "robot.yaml:3: lidar.blind_deg has 101 sectors, and there may be 100; join those that meet");
}

struct BadText {
  const char* text;
  const char* where;  // how the message begins
  const char* what;   // a part of it
};

class BadRobotYaml : public testing::TestWithParam<BadText> {};

TEST_P(BadRobotYaml, IsRefusedWithLineAndAdvice) {
  const std::string message = refusal(GetParam().text);
  EXPECT_EQ(message.rfind(GetParam().where, 0), 0u) << message;
  EXPECT_NE(message.find(GetParam().what), std::string::npos) << message;
  EXPECT_NE(message.find("; "), std::string::npos) << "no advice: " << message;
  EXPECT_EQ(message.find('\n'), std::string::npos) << message;
}

INSTANTIATE_TEST_SUITE_P(
    Texts, BadRobotYaml,
    testing::Values(
        BadText{"", "robot.yaml:", "no content"}, BadText{"# nothing\n", "robot.yaml:", "no content"},
        BadText{"lidar: {x_m: 0}\n", "robot.yaml:1:", "wainscot_robot is missing"},
        BadText{"wainscot_robot:\n", "robot.yaml:1:", "no value"},
        BadText{"wainscot_robot: 2\n", "robot.yaml:1:", "update the program"},
        BadText{"wainscot_robot: 0\n", "robot.yaml:1:", "no version"},
        BadText{"wainscot_robot: one\n", "robot.yaml:1:", "no version"},
        BadText{"wainscot_robot: [1]\n", "robot.yaml:1:", "single value"},
        BadText{"wainscot_robot: 1\nlidar:\n\tx_m: 0\n", "robot.yaml:3:", "a tab"},
        BadText{"wainscot_robot: 1\nlidar:\n  x_m:\t0\n", "robot.yaml:3:", "a tab"},
        BadText{"wainscot_robot: 1\nlidar:\n  max_rang_m: 8\n",
                "robot.yaml:3:", "nearest known one is lidar.max_range_m"},
        BadText{"wainscot_robot: 1\nlidr:\n  x_m: 8\n", "robot.yaml:2:", "nearest known one is lidar"},
        BadText{"wainscot_robot: 1\nmax_range_m: 8\n", "robot.yaml:2:", "nearest known one is lidar.max_range_m"},
        BadText{"wainscot_robot: 1\ngyro: {bias: 0}\n", "robot.yaml:2:", "nearest known one is gyro."},
        BadText{"wainscot_robot: 1\nlidar:\n  x_m: 0\n  x_m: 1\n", "robot.yaml:4:", "lidar.x_m is there twice"},
        BadText{"wainscot_robot: 1\nlidar: {}\nlidar: {}\n", "robot.yaml:3:", "lidar is there twice"},
        BadText{"wainscot_robot: 1\nlidar: 5\n", "robot.yaml:2:", "lidar is no section"},
        BadText{"wainscot_robot: 1\nlidar:\n  y_m: 0\n  x_m: [1, 2]\n", "robot.yaml:4:", "single value"},
        BadText{"wainscot_robot: 1\nlidar:\n  x_m: 0,5\n", "robot.yaml:3:", "decimal point"},
        BadText{"wainscot_robot: 1\nlidar:\n  x_m: .nan\n", "robot.yaml:3:", "not a number"},
        BadText{"wainscot_robot: 1\nlidar:\n  x_m: nan\n", "robot.yaml:3:", "not a finite number"},
        BadText{"wainscot_robot: 1\nlidar:\n  x_m: 40\n", "robot.yaml:3:", "not possible"},
        BadText{"wainscot_robot: 1\nlidar:\n  noise_m: 0\n", "robot.yaml:3:", "more than 0"},
        BadText{"wainscot_robot: 1\nlidar:\n  noise_m: -0.1\n", "robot.yaml:3:", "more than 0"},
        BadText{"wainscot_robot: 1\nlidar:\n  min_range_m: 9\n", "robot.yaml:3:", "min_range_m"},
        BadText{"wainscot_robot: 1\nlidar:\n  mirrored: yes\n", "robot.yaml:3:", "true or false"},
        BadText{"wainscot_robot: 1\nlidar:\n  sweep_s: -1\n", "robot.yaml:3:", "not possible"},
        BadText{"wainscot_robot: 1\nlidar:\n  blind_deg: [170, -170]\n", "robot.yaml:3:", "[[170, -170]]"},
        BadText{"wainscot_robot: 1\nlidar:\n  blind_deg: [[1, 2, 3]]\n", "robot.yaml:3:", "[[170, -170]]"},
        BadText{"wainscot_robot: 1\nlidar:\n  blind_deg: [[-180, 180]]\n", "robot.yaml:3:", "no direction"},
        BadText{"wainscot_robot: 1\ndrive:\n  counter_bits: 24\n", "robot.yaml:3:", "16 or 32"},
        BadText{"wainscot_robot: 1\ndrive:\n  left_m_per_tick: 0\n", "robot.yaml:3:", "is 0"},
        BadText{"wainscot_robot: 1\ndrive:\n  track_width_by_surface_m: {wood: -1}\n", "robot.yaml:3:", "not possible"},
        BadText{"wainscot_robot: 1\ndrive:\n  track_width_by_surface_m: [1]\n", "robot.yaml:3:", "surfaces"},
        BadText{"wainscot_robot: 1\ndrive:\n  track_width_by_surface_m:\n    wood: 0.3\n    wood: 0.4\n",
                "robot.yaml:5:", "twice"},
        BadText{"wainscot_robot: 1\ngyro: {sign: 2}\n", "robot.yaml:2:", "1 or -1"},
        BadText{"wainscot_robot: 1\nlidar: {x_m: 1\n", "robot.yaml:", "not YAML"},
        BadText{"wainscot_robot: 1\n]\n", "robot.yaml:2:", "not YAML"},
        BadText{"- wainscot_robot: 1\n", "robot.yaml:1:", "key: value"},
        BadText{"just words\n", "robot.yaml:1:", "key: value"},
        BadText{"wainscot_robot: 1\n---\nlidar: {}\n", "robot.yaml:", "second document"},
        BadText{"wainscot_robot: 1\nlidar: &a {x_m: 0}\ngyro: *a\n", "robot.yaml:3:", "alias"},
        BadText{"? [1, 2]\n: 3\nwainscot_robot: 1\n", "robot.yaml:1:", "not a word"}));

}  // namespace
}  // namespace wainscot
