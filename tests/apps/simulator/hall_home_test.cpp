#include "apps/simulator/hall_home.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "apps/simulator/ray_caster.hpp"

namespace wainscot::simulator {
namespace {

HallHome two_and_one() {
  HallHome home;
  home.length_m = 8.0;
  home.width_m = 1.6;
  home.north = {3.0, {{3.0, 0.8, 0.9, 0.0, 0.0, RoomKind::office}, {5.0, 3.0, 0.9, 1.0, 1.5, RoomKind::living}}};
  return home;
}

TEST(HallHome, RoomsDoorsAndPanesLieWhereTheyShould) {
  const Layout layout = hall_layout(two_and_one());
  ASSERT_EQ(layout.rooms.size(), 3U);
  EXPECT_NEAR(area_m2(layout.rooms[0].outline), 8.0 * 1.6, 1e-9);
  EXPECT_NEAR(area_m2(layout.rooms[1].outline), 3.0 * 3.0, 1e-9);
  EXPECT_NEAR(area_m2(layout.rooms[2].outline), 5.0 * 3.0, 1e-9);
  Plan plan;
  plan.walls = layout.walls;
  const RayCaster caster(surfaces_of(plan));
  const auto north = [&](double x, bool through_glass) {
    return caster.cast({x, 0.0}, {0.0, 1.0}, 20.0, through_glass).range_m;
  };
  const double back = 0.8 + 3.0 - 0.12;  // half a hall, a room, half its outer wall
  EXPECT_NEAR(north(0.8, false), back, 1e-9);
  EXPECT_NEAR(north(3.0 + 3.0, false), back, 1e-9);
  EXPECT_NEAR(north(2.0, false), 0.8 - 0.06, 1e-9);
  EXPECT_NEAR(north(4.5, true), back, 1e-9);
  EXPECT_LT(north(4.5, false), 0.9);
}

TEST(HallHome, TheMirrorImageHasTheSameViewsTheOtherWay) {
  const Layout layout = hall_layout(two_and_one());
  const Layout other = mirrored(layout);
  Plan plan;
  plan.walls = layout.walls;
  Plan flipped;
  flipped.walls = other.walls;
  const RayCaster a(surfaces_of(plan));
  const RayCaster b(surfaces_of(flipped));
  for (int i = 0; i < 120; ++i) {
    const Point along = direction(0.05 * i);
    EXPECT_NEAR(a.cast({4.1, 0.2}, along, 20.0, true).range_m,
                b.cast({-4.1, 0.2}, {-along.x_m, along.y_m}, 20.0, true).range_m, 1e-9);
  }
  for (std::size_t i = 0; i < layout.rooms.size(); ++i) {
    EXPECT_NEAR(area_m2(other.rooms[i].outline), area_m2(layout.rooms[i].outline), 1e-9);  // counter-clockwise still
  }
  // An outline's edges keep the thickness of their walls: the edge in the north is another one by number.
  for (const Layout* one : {&layout, &other}) {
    const Room& room = one->rooms[1];
    for (std::size_t i = 0; i < 4; ++i) {
      const Point from = room.outline[i];
      const Point to = room.outline[(i + 1) % 4];
      const bool outer = (from.y_m > 3.7 && to.y_m > 3.7) || (std::abs(from.x_m) < 1e-9 && std::abs(to.x_m) < 1e-9);
      EXPECT_EQ(room.wall_m[i], outer ? 0.24 : 0.12) << i;
    }
  }
}

}  // namespace
}  // namespace wainscot::simulator
