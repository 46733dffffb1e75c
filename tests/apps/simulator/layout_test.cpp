#include "apps/simulator/layout.hpp"

#include <cstdint>

#include <gtest/gtest.h>

namespace wainscot::simulator {
namespace {

TEST(Layout, RoomsFillTheFootprintAndMostHomesHaveRings) {
  int rings = 0;
  const int n = 100;
  for (std::uint64_t seed = 0; seed < static_cast<std::uint64_t>(n); ++seed) {
    Random random(seed, "layout");
    LayoutOptions options;
    options.area_m2 = 60.0 + 1.4 * static_cast<double>(seed);
    const Layout layout = random_layout(options, random);
    double area = 0.0;
    for (const Room& room : layout.rooms) {
      EXPECT_GT(area_m2(room.outline), 0.5);
      area += area_m2(room.outline);
      // Convex and counter-clockwise.
      for (std::size_t i = 0; i < room.outline.size(); ++i) {
        const Point a = room.outline[i];
        const Point b = room.outline[(i + 1) % room.outline.size()];
        const Point c = room.outline[(i + 2) % room.outline.size()];
        EXPECT_GT(cross(b - a, c - b), -1e-9);
      }
    }
    // All of it, but for cut corners and a corner room given to the garden.
    EXPECT_LE(area, options.area_m2 + 1e-6);
    EXPECT_GE(area, 0.68 * options.area_m2);
    rings += layout.rings > 0 ? 1 : 0;
  }
  EXPECT_GE(rings, 60);
}

}  // namespace
}  // namespace wainscot::simulator
