#include "apps/simulator/random_robot.hpp"

#include <set>

#include <gtest/gtest.h>

namespace wainscot::simulator {
namespace {

TEST(RandomRobot, RobotsOfAllKindsComeAndLogsAreConsistent) {
  std::set<int> beams;
  int odometry = 0;
  for (std::uint64_t seed = 0; seed < 200; ++seed) {
    Random random(seed, "robot");
    const RobotSpec robot = random_robot(random);
    beams.insert(robot.lidar.beams);
    odometry += robot.motion_log == MotionLog::odometry ? 1 : 0;
    EXPECT_GT(2.0 * robot.radius_m, robot.track_width_m);
    EXPECT_GT(robot.lidar.max_range_m, robot.lidar.min_range_m);
  }
  EXPECT_EQ(beams, (std::set<int>{360, 450, 480, 720}));
  EXPECT_GE(odometry, 5);
  EXPECT_LE(odometry, 40);
}

}  // namespace
}  // namespace wainscot::simulator
