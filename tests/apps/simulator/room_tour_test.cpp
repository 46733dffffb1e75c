#include "apps/simulator/room_tour.hpp"

#include <algorithm>

#include <gtest/gtest.h>

#include "apps/simulator/hall_home.hpp"

namespace wainscot::simulator {
namespace {

TEST(RoomTour, GoesIntoEveryRoomAndBackToItsStart) {
  HallHome home;
  home.length_m = 9.0;
  home.north = {3.0, {{4.0, 1.0, 0.9}, {5.0, 3.0, 0.9}}};
  home.south = {3.5, {{5.0, 2.0, 0.9}, {4.0, 1.0, 0.9}}};
  const Layout layout = hall_layout(home);
  Plan plan;
  plan.walls = layout.walls;
  Random random(1, "tour");
  RoomTour tour(layout, plan, random);
  const std::vector<Waypoint> once = tour.make(0.0, 0.0);
  EXPECT_TRUE(tour.everywhere());
  EXPECT_LT(norm(once.front().point - once.back().point), 0.1);
  for (const Room& room : layout.rooms) {
    EXPECT_TRUE(
        std::any_of(once.begin(), once.end(), [&](const Waypoint& w) { return contains(room.outline, w.point); }));
  }
  Random again(1, "tour");
  RoomTour longer(layout, plan, again);
  EXPECT_GT(longer.make(600.0, 600.0).size(), 2 * once.size());
}

}  // namespace
}  // namespace wainscot::simulator
