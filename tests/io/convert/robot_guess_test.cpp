#include "io/convert/robot_guess.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

ChosenDirection found_direction() {
  ChosenDirection chosen;
  RobotFit& fit = chosen.evidence.fit.emplace();
  fit.drove = true;
  fit.track_width_m = 0.28;
  Direction& direction = chosen.all.emplace_back();
  direction.left_m_per_tick = 0.011;
  direction.right_m_per_tick = 0.012;
  direction.mounting = {0.0504, 0.0, 0.5};
  return chosen;
}

TEST(RobotGuess, TicksTrackAndMounting) {
  ChosenMotion motion;
  WheelGuess& wheels = motion.all.wheels.emplace_back();
  wheels.wraps_at_bits = 16;
  wheels.ticks_of_unit = 10.0;
  const RobotGuess guess = guess_robot(LidarTrack{}, motion, found_direction());
  EXPECT_TRUE(guess.is_known);
  ASSERT_TRUE(guess.robot.drive);
  EXPECT_DOUBLE_EQ(guess.robot.drive->left_m_per_tick, 0.0011);
  EXPECT_DOUBLE_EQ(guess.robot.drive->track_width_m, 0.28);
  EXPECT_EQ(guess.robot.drive->counter_bits, 16);
  EXPECT_DOUBLE_EQ(guess.robot.lidar.x_m, 0.05);
  EXPECT_DOUBLE_EQ(guess.robot.lidar.heading_deg, 28.6);
}

TEST(RobotGuess, NothingOfARobotThatStood) {
  ChosenDirection direction = found_direction();
  direction.evidence.fit->drove = false;
  const RobotGuess guess = guess_robot(LidarTrack{}, {}, direction);
  EXPECT_FALSE(guess.is_known);
  EXPECT_FALSE(guess.robot.drive);
}

TEST(RobotGuess, ReachesAsFarAsNearlyAllRanges) {
  LidarTrack track;
  Scan& scan = track.scans.scans.emplace_back();
  for (int i = 0; i < 1000; ++i) scan.returns.push_back({0.0F, 11.5F, 0.0F});
  EXPECT_DOUBLE_EQ(guess_robot(track, {}, found_direction()).robot.lidar.max_range_m, 12.0);
}

}  // namespace
}  // namespace wainscot
