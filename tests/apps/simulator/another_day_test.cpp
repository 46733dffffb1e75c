#include "apps/simulator/another_day.hpp"

#include <gtest/gtest.h>

#include "apps/simulator/furnish.hpp"
#include "apps/simulator/motion.hpp"
#include "apps/simulator/random_house.hpp"
#include "apps/simulator/simulate.hpp"

namespace wainscot::simulator {
namespace {

TEST(AnotherDay, TheHouseIsTheSameButForSomeFurniture) {
  const Plan first = random_house(7);
  const Plan second = another_day(first, 7, 2);
  ASSERT_EQ(second.walls.size(), first.walls.size());
  ASSERT_EQ(second.furniture.size(), first.furniture.size());
  int moved = 0;
  for (std::size_t i = 0; i < first.furniture.size(); ++i) {
    const double away_m = norm(second.furniture[i].centre - first.furniture[i].centre);
    moved += away_m > 0.0 ? 1 : 0;
    EXPECT_LT(away_m, 1.6);
  }
  EXPECT_GE(moved, 1);
  EXPECT_LE(moved, 4);
}

TEST(AnotherDay, TheRobotStartsElsewhereAndMeetsNothing) {
  const Plan first = random_house(7);
  const Plan second = another_day(first, 7, 2);
  EXPECT_GT(norm(second.route.front().point - first.route.front().point), 0.1);
  const Motion motion = drive_route(second, 7);
  for (double t = 0.0; t < motion.duration_s(); t += 0.1) {
    for (const Furniture& item : second.furniture) {
      ASSERT_FALSE(contains(footprint(item), motion.at(t).position)) << t << ", " << item.name;
    }
  }
}

TEST(AnotherDay, TheRobotIsTheSameAndItsClockIsNot) {
  const Plan first = random_house(7);
  const Plan second = another_day(first, 7, 2);
  const TrueLidar lidar = draw_lidar(first, 10, 7);
  const TrueLidar later = draw_lidar(second, 10, 7);
  EXPECT_EQ(lidar.x_m, later.x_m);
  EXPECT_EQ(lidar.heading_rad, later.heading_rad);
  EXPECT_NE(lidar.stamp_delay_s, later.stamp_delay_s);
  EXPECT_NEAR(lidar.turn_s / later.turn_s, 1.0, 0.03);
  const Robot stated = stated_robot(first, draw_wheels(first, 7), 7);
  const Robot stated_later = stated_robot(second, draw_wheels(second, 7), 7);
  EXPECT_EQ(stated.drive->left_m_per_tick, stated_later.drive->left_m_per_tick);
  EXPECT_EQ(stated.drive->track_width_m, stated_later.drive->track_width_m);
}

TEST(AnotherDay, DaysDifferAndTheFirstIsThePlanItself) {
  const Plan first = random_house(7);
  EXPECT_EQ(another_day(first, 7, 1).route.size(), first.route.size());
  const Plan second = another_day(first, 7, 2);
  const Plan third = another_day(first, 7, 3);
  EXPECT_GT(norm(second.route[1].point - third.route[1].point) + norm(second.route[0].point - third.route[0].point),
            0.1);
}

}  // namespace
}  // namespace wainscot::simulator
