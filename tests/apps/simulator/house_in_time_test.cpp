#include "apps/simulator/house_in_time.hpp"

#include <gtest/gtest.h>

#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

TEST(HouseInTime, ADoorStopsTheBeamWhileItIsShut) {
  Plan plan = two_rooms();
  plan.walls.back().openings[0].leaf->moves = {{10.0, 0.0}, {30.0, 90.0}};
  const HouseInTime house(plan);
  const auto look = [&](double time_s) { return house.at(time_s).cast({1.0, 1.0}, {1.0, 0.0}, 9.0, false); };
  for (const double time_s : {0.0, 9.99, 30.0, 1e6}) EXPECT_NEAR(look(time_s).range_m, 5.0, 1e-9) << time_s;
  for (const double time_s : {10.0, 29.99}) {
    EXPECT_NEAR(look(time_s).range_m, 2.0 - 0.02, 1e-9) << time_s;
    EXPECT_EQ(look(time_s).kind, SurfaceKind::door);
  }
}

TEST(HouseInTime, FacesKeepTheirNumbersWhenFurnitureMoves) {
  Plan plan = two_rooms();
  plan.furniture[0].moves = {{5.0, {1.5, 3.0}, 90.0}};
  const HouseInTime house(plan);
  const Hit before = house.at(0.0).cast({2.5, 3.0}, {-1.0, 0.0}, 9.0, false);
  const Hit after = house.at(5.0).cast({2.5, 3.0}, {-1.0, 0.0}, 9.0, false);
  EXPECT_NEAR(before.range_m - after.range_m, 1.3, 1e-9);
  EXPECT_EQ(before.face, after.face);
}

}  // namespace
}  // namespace wainscot::simulator
