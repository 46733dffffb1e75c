#include "apps/simulator/office_building.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "apps/simulator/surfaces.hpp"

namespace wainscot::simulator {
namespace {

TEST(OfficeBuilding, TheWayIsLongClosedAndClearOfEverything) {
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    Random random(seed, "office building");
    const OfficeBuilding building = office_building(900.0, random);
    EXPECT_GE(building.way_m, 900.0);
    EXPECT_LE(building.way_m, 1100.0);
    EXPECT_LT(norm(building.route.front().point - building.route.back().point), 1e-9);
    Plan plan;
    plan.walls = building.walls;
    plan.furniture = building.furniture;
    const Surfaces surfaces = surfaces_of(plan);
    int rooms = 0;
    for (std::size_t i = 0; i + 1 < building.route.size(); ++i) {
      const Point from = building.route[i].point;
      const Point to = building.route[i + 1].point;
      for (double u = 0.0; u <= 1.0; u += 0.05) {
        ASSERT_GT(clearance_m(surfaces, from + u * (to - from)), 0.3) << seed << ", " << i;
      }
      // Out of a corridor and back again.
      const bool turns_back =
          i > 0 && std::abs(building.route[i - 1].point.x_m - to.x_m) < 1e-9 && std::abs(from.x_m - to.x_m) < 1e-9;
      rooms += turns_back ? 1 : 0;
    }
    EXPECT_GE(rooms, 5);
  }
}

}  // namespace
}  // namespace wainscot::simulator
