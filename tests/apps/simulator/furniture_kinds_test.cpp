#include "apps/simulator/furniture_kinds.hpp"

#include <algorithm>

#include <gtest/gtest.h>

namespace wainscot::simulator {
namespace {

TEST(FurnitureKinds, EveryRoomHasThingsOfPossibleSizes) {
  for (const RoomKind room : {RoomKind::hall, RoomKind::living, RoomKind::kitchen, RoomKind::bath, RoomKind::bedroom,
                              RoomKind::office, RoomKind::store}) {
    const std::vector<FurnitureKind>& kinds = kinds_for(room);
    ASSERT_GE(kinds.size(), 3U);
    for (const FurnitureKind& kind : kinds) {
      EXPECT_GT(kind.length_from_m, 0.1) << kind.name;
      EXPECT_LE(kind.length_from_m, kind.length_to_m) << kind.name;
      EXPECT_LE(kind.width_from_m, kind.width_to_m) << kind.name;
      EXPECT_GT(kind.chance, 0.0) << kind.name;
      EXPECT_LE(kind.chance, 1.0) << kind.name;
      EXPECT_LE(std::min(kind.length_to_m, kind.width_to_m), 1.65) << kind.name;
      if (kind.chairs > 0) {
        EXPECT_EQ(kind.shape, FurnitureShape::legs) << kind.name;
      }
    }
  }
}

TEST(FurnitureKinds, ABedroomHasABedAndAKitchenACounter) {
  EXPECT_STREQ(kinds_for(RoomKind::bedroom).front().name, "bed");
  EXPECT_STREQ(kinds_for(RoomKind::kitchen).front().name, "counter");
}

}  // namespace
}  // namespace wainscot::simulator
