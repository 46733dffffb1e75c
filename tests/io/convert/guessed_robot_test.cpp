#include "io/convert/guessed_robot.hpp"

#include <gtest/gtest.h>

#include "io/robot/robot_yaml.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

ColumnGuess wheels_guess() {
  ColumnGuess guess;
  guess.columns.wheels = WheelColumns{};
  guess.columns.scans = ScanColumns{};
  guess.robot.drive = DriveConstants{};
  guess.robot.drive->left_m_per_tick = 1.25e-4;
  guess.robot.drive->right_m_per_tick = 1.26e-4;
  guess.robot.drive->track_width_m = 0.28;
  guess.robot.drive->counter_bits = 16;
  guess.robot.lidar.heading_deg = 90.5;
  guess.robot.lidar.max_range_m = 12.0;
  return guess;
}

TEST(GuessedRobot, HoldsWhatWasFound) {
  ColumnGuess guess = wheels_guess();
  guess.robot_is_known = true;
  const ReaderFolder folder;
  const Robot robot = read_robot_yaml(folder.write("robot.yaml", guessed_robot_yaml(guess)), WheelConstants::optional);
  ASSERT_TRUE(robot.drive);
  EXPECT_DOUBLE_EQ(robot.drive->left_m_per_tick, 1.25e-4);
  EXPECT_DOUBLE_EQ(robot.drive->track_width_m, 0.28);
  EXPECT_EQ(robot.drive->counter_bits, 16);
  EXPECT_DOUBLE_EQ(robot.lidar.heading_deg, 90.5);
  EXPECT_DOUBLE_EQ(robot.lidar.max_range_m, 12.0);
}

TEST(GuessedRobot, KeepsTheTickOfALogInMetres) {
  ColumnGuess guess = wheels_guess();
  guess.robot_is_known = true;
  guess.columns.wheels->left.unit = guess.columns.wheels->right.unit = "mm";
  const ReaderFolder folder;
  const Robot robot = read_robot_yaml(folder.write("robot.yaml", guessed_robot_yaml(guess)), WheelConstants::optional);
  EXPECT_DOUBLE_EQ(robot.drive->left_m_per_tick, 1e-6);
  EXPECT_DOUBLE_EQ(robot.drive->track_width_m, 0.28);
}

TEST(GuessedRobot, LeavesOpenWhatIsNotKnown) {
  const std::string text = guessed_robot_yaml(wheels_guess());
  EXPECT_NE(text.find("#heading_deg"), std::string::npos);
  EXPECT_NE(text.find("#track_width_m"), std::string::npos);
  EXPECT_NE(text.find("\n  max_range_m: 12"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
