#include "apps/simulator/alike_home.hpp"

#include <cstddef>

#include <gtest/gtest.h>

namespace wainscot::simulator {
namespace {

TEST(AlikeHome, RoomsAreCopiesOfEachOther) {
  Random random(1, "alike");
  const AlikeHome home = alike_home({120.0, 0.75}, 0.18, 1.0, random);
  const std::size_t rooms = home.layout.rooms.size() - 1;
  EXPECT_EQ(rooms % 2, 0U);
  ASSERT_GT(home.furniture.size(), 0U);
  EXPECT_EQ(home.furniture.size() % rooms, 0U);
  for (std::size_t i = 0; i < home.furniture.size(); ++i) {
    const Furniture& first = home.furniture[i - i % rooms];
    EXPECT_EQ(home.furniture[i].name, first.name);
    EXPECT_EQ(home.furniture[i].length_m, first.length_m);
  }
  for (std::size_t k = 2; k < home.layout.rooms.size(); ++k) {
    EXPECT_NEAR(area_m2(home.layout.rooms[k].outline), area_m2(home.layout.rooms[1].outline), 1e-9);
  }
}

}  // namespace
}  // namespace wainscot::simulator
