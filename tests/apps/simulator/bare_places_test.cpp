#include "apps/simulator/bare_places.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "apps/simulator/plan_yaml.hpp"
#include "apps/simulator/ray_caster.hpp"

namespace wainscot::simulator {
namespace {

TEST(BarePlaces, MidwayInTheCorridorTheLidarSeesTwoWallsOnly) {
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    const Plan plan = bare_corridor(seed);
    EXPECT_EQ(plan.robot.lidar.max_range_m, 6.0);
    const double length = norm(plan.walls[0].to - plan.walls[0].from);
    const double width = plan.walls[1].from.y_m - plan.walls[1].thickness_m / 2.0;
    EXPECT_GE(length, 30.0);
    const RayCaster caster(surfaces_of(plan));
    for (double x = 6.5; x < length - 6.5; x += 0.5) {
      for (int i = 0; i < 360; ++i) {
        const Point along = direction(i * kDegree_rad);
        const double range = caster.cast({x, width / 2.0}, along, 6.0, false).range_m;
        const double expected = width / 2.0 / std::abs(along.y_m);
        if (expected < 6.0) {
          ASSERT_NEAR(range, expected, 1e-9);
        } else {
          ASSERT_TRUE(std::isinf(range));
        }
      }
    }
  }
}

TEST(BarePlaces, TheHallIsTheSameForBothLidars) {
  Plan near = pillar_hall(2, 6.0);
  const Plan far = pillar_hall(2, 12.0);
  EXPECT_EQ(far.robot.lidar.max_range_m, 12.0);
  near.robot.lidar.max_range_m = 12.0;
  EXPECT_EQ(plan_text(near), plan_text(far));
  EXPECT_GE(near.furniture.size(), 8U);
}

TEST(BarePlaces, TheRoundRoomIsRound) {
  const Plan plan = round_room(1);
  const RayCaster caster(surfaces_of(plan));
  double least = 1e9;
  double most = 0.0;
  for (int i = 30; i <= 330; ++i) {  // the door is at 0 degrees
    const double range = caster.cast({0.0, 0.0}, direction(i * kDegree_rad), 20.0, false).range_m;
    least = std::min(least, range);
    most = std::max(most, range);
  }
  EXPECT_GT(least, 2.9);
  EXPECT_LT(most - least, 0.002);
}

}  // namespace
}  // namespace wainscot::simulator
