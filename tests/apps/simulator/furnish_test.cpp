#include "apps/simulator/furnish.hpp"

#include <algorithm>
#include <cstdint>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot::simulator {
namespace {

TEST(Furnish, ThingsStandInRoomsAndNotInEachOther) {
  for (std::uint64_t seed = 0; seed < 10; ++seed) {
    Random random(seed, "furnish");
    const Layout layout = random_layout({120.0, 0.75}, random);
    const std::vector<Furniture> all = furnish(layout, 0.18, 1.0, random);
    EXPECT_GT(all.size(), layout.rooms.size());
    for (std::size_t i = 0; i < all.size(); ++i) {
      const bool housed = std::any_of(layout.rooms.begin(), layout.rooms.end(),
                                      [&](const Room& room) { return contains(room.outline, all[i].centre); });
      EXPECT_TRUE(housed);
      for (const Doorway& door : layout.doorways) {
        EXPECT_GT(distance_m(footprint(all[i]), rectangle(door.centre, 0.6, 0.6, 0.0)), 0.0);
      }
      for (std::size_t k = 0; k < i; ++k) {
        if (all[i].name == "chair" || all[k].name == "chair") continue;  // chairs stand under tables
        EXPECT_GT(distance_m(footprint(all[i]), footprint(all[k])), 0.0) << all[i].name << ", " << all[k].name;
      }
    }
  }
}

}  // namespace
}  // namespace wainscot::simulator
