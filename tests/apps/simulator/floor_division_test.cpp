#include "apps/simulator/floor_division.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot::simulator {
namespace {

double perimeter_m(const Polygon& outline) {
  double sum = 0.0;
  for (std::size_t i = 0; i < outline.size(); ++i) sum += norm(outline[(i + 1) % outline.size()] - outline[i]);
  return sum;
}

TEST(FloorDivision, EveryEdgeOfAPartLiesOnItsLine) {
  int halls = 0;
  for (std::uint64_t seed = 0; seed < 30; ++seed) {
    Random random(seed, "division");
    const FloorDivision floor = divided_floor(100.0, random);
    double area = 0.0;
    for (const FloorPart& part : floor.parts) {
      ASSERT_EQ(part.lines.size(), part.outline.size());
      area += area_m2(part.outline);
      halls += part.hall ? 1 : 0;
      for (std::size_t i = 0; i < part.outline.size(); ++i) {
        const WallLine& line = floor.lines[static_cast<std::size_t>(part.lines[i])];
        EXPECT_LT(distance_m(part.outline[i], line.from, line.to), 1e-9);
        EXPECT_LT(distance_m(part.outline[(i + 1) % part.outline.size()], line.from, line.to), 1e-9);
      }
    }
    // All of it, but for cut corners and a corner room given to the garden.
    EXPECT_LE(area, 100.0 + 1e-6);
    EXPECT_GE(area, 68.0);
  }
  EXPECT_GE(halls, 20);  // in most homes
}

// Each edge of a part is a side of some stretch, so all edges together are as long as the stretches' inhabited sides.
TEST(FloorDivision, StretchesBorderOnTheRoomsOnTheirSides) {
  for (std::uint64_t seed = 0; seed < 30; ++seed) {
    Random random(seed, "division");
    const FloorDivision floor = divided_floor(140.0, random);
    double edges_m = 0.0;
    double sides_m = 0.0;
    for (const FloorPart& part : floor.parts) edges_m += perimeter_m(part.outline);
    for (std::size_t l = 0; l < floor.lines.size(); ++l) {
      const WallLine& line = floor.lines[l];
      const Point along = unit(line.to - line.from);
      double last_m = -1e-9;
      for (const Stretch& s : stretches_of(floor, static_cast<int>(l))) {
        EXPECT_GE(s.from_m, last_m - 1e-9);
        last_m = s.to_m;
        const Point middle = line.from + ((s.from_m + s.to_m) / 2.0) * along;
        for (const int side : {1, -1}) {
          const int room = side > 0 ? s.left : s.right;
          if (room < 0) continue;
          sides_m += s.to_m - s.from_m;
          const Polygon& outline = floor.parts[static_cast<std::size_t>(room)].outline;
          EXPECT_TRUE(contains(outline, middle + (0.001 * side) * left_of(along)));
        }
      }
    }
    EXPECT_NEAR(sides_m, edges_m, 1e-4);
  }
}

}  // namespace
}  // namespace wainscot::simulator
