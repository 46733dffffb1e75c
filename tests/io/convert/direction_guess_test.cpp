#include "io/convert/direction_guess.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

RobotFit fit_of(double left, double right, double heading_rad = 0.0) {
  RobotFit fit;
  fit.left_m_per_tick = left;
  fit.right_m_per_tick = right;
  fit.track_width_m = 0.3;
  fit.drove = true;
  fit.strides = 100;
  fit.mounting = {0.05, 0.01, heading_rad};
  return fit;
}

bool mirrored(const Direction& d) { return d.mirrored; }

TEST(DirectionGuess, NamedWheelsThatAgreeAreSure) {
  DirectionEvidence evidence;
  evidence.fit = fit_of(1e-4, 1.1e-4);
  evidence.names = 1;
  const std::vector<Direction> all = directions(evidence);
  EXPECT_FALSE(all.front().mirrored);
  EXPECT_FALSE(all.front().swapped);
  EXPECT_FALSE(all.front().left_backwards);
  EXPECT_DOUBLE_EQ(all.front().right_m_per_tick, 1.1e-4);
  EXPECT_GE(percent_of(all, mirrored), 95);
}

TEST(DirectionGuess, AgainstNamedWheelsTheLidarCountsClockwise) {
  DirectionEvidence evidence;
  evidence.fit = fit_of(-1e-4, -1e-4, 3.1);
  evidence.names = 1;
  const std::vector<Direction> all = directions(evidence);
  EXPECT_TRUE(all.front().mirrored);
  EXPECT_FALSE(all.front().left_backwards);
  EXPECT_GE(percent_of(all, mirrored), 95);
  EXPECT_NEAR(all.front().mounting.heading_rad, 0.0416, 1e-3);
  EXPECT_NEAR(all.front().mounting.x_m, -0.05, 1e-12);
}

TEST(DirectionGuess, UnnamedWheelsLeaveADoubtAndAGyroHelps) {
  DirectionEvidence evidence;
  evidence.fit = fit_of(-1e-4, -1e-4, 3.1);
  const int without = percent_of(directions(evidence), mirrored);
  EXPECT_LT(without, 95);
  evidence.gyro_against_lidar = true;
  EXPECT_GT(percent_of(directions(evidence), mirrored), without);
  EXPECT_TRUE(directions(evidence).front().mirrored);
}

TEST(DirectionGuess, OneCounterBackwards) {
  DirectionEvidence evidence;
  evidence.fit = fit_of(-1e-4, 1e-4);
  evidence.names = 1;
  evidence.angles_told = true;
  const Direction best = directions(evidence).front();
  EXPECT_FALSE(best.mirrored);
  EXPECT_TRUE(best.left_backwards);
  EXPECT_FALSE(best.right_backwards);
}

TEST(DirectionGuess, WithoutAnyMotionNothingTells) {
  const std::vector<Direction> all = directions({});
  EXPECT_FALSE(all.front().mirrored);
  EXPECT_LT(percent_of(all, mirrored), 80);
}

}  // namespace
}  // namespace wainscot
