#include "apps/simulator/random_house.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "apps/simulator/plan_yaml.hpp"

namespace wainscot::simulator {
namespace {

TEST(RandomHouse, TheSameNumberGivesTheSamePlan) {
  EXPECT_EQ(plan_text(random_house(11)), plan_text(random_house(11)));
  EXPECT_NE(plan_text(random_house(11)), plan_text(random_house(12)));
}

TEST(RandomHouse, HomesAndRobotsAreOfAllTheKindsPromised) {
  int gyros = 0;
  int narrow = 0;
  int clockwise = 0;
  int returns = 0;
  int glass = 0;
  int slanted = 0;
  int people = 0;
  int thresholds = 0;
  int floors = 0;
  const int n = 40;
  for (std::uint64_t number = 1; number <= static_cast<std::uint64_t>(n); ++number) {
    const Plan plan = random_house(number);
    const RobotSpec& robot = plan.robot;
    EXPECT_GE(robot.track_width_m, 0.2);
    EXPECT_LE(robot.track_width_m, 0.4);
    EXPECT_GE(robot.speed_m_s, 0.2);
    EXPECT_LE(robot.speed_m_s, 0.5);
    EXPECT_GE(std::abs(robot.left_m_per_tick), 4.9e-5);
    EXPECT_LE(std::abs(robot.left_m_per_tick), 5.1e-4);
    EXPECT_GE(robot.lidar.turns_per_s, 5.0);
    EXPECT_LE(robot.lidar.turns_per_s, 12.0);
    EXPECT_GE(robot.lidar.max_range_m, 6.0);
    EXPECT_LE(robot.lidar.max_range_m, 12.0);
    bool pane = false;
    bool slant = false;
    bool ridge = false;
    for (const Wall& wall : plan.walls) {
      EXPECT_GE(wall.thickness_m, 0.08);
      EXPECT_LE(wall.thickness_m, 0.30);
      const double quarter = std::remainder(angle_of(wall.to - wall.from), kPi / 2.0);
      slant = slant || std::abs(quarter) > 0.02;
      for (const Opening& opening : wall.openings) {
        EXPECT_GE(opening.width_m, 0.7);
        pane = pane || opening.glass;
        ridge = ridge || opening.threshold;
      }
    }
    gyros += robot.gyro ? 1 : 0;
    narrow += robot.lidar.field_deg < 300.0 ? 1 : 0;
    clockwise += robot.lidar.clockwise ? 1 : 0;
    returns += robot.lidar_log == LidarLog::returns ? 1 : 0;
    glass += pane ? 1 : 0;
    slanted += slant ? 1 : 0;
    thresholds += ridge ? 1 : 0;
    people += plan.people.empty() ? 0 : 1;
    floors += floor_names(plan).size() > 1 ? 1 : 0;
    EXPECT_LE(plan.people.size(), 2U);
    EXPECT_GT(plan.furniture.size(), 3U) << number;
  }
  for (const int count : {gyros, narrow, clockwise, returns}) {
    EXPECT_GE(count, 2);
    EXPECT_LE(count, 30);
  }
  for (const int count : {glass, slanted, thresholds, people, floors}) EXPECT_GE(count, n / 3);
}

}  // namespace
}  // namespace wainscot::simulator
