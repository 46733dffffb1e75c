#include "io/rooms/doorway_width.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "tests/graph/tape_room.hpp"

namespace wainscot {
namespace {

/// As cells would find a gap between the walls of the room that look at one another.
Doorway gap(double from_x_m, double to_x_m) {
  Doorway door;
  door.room_2 = 1;
  door.from_m = {from_x_m, 1.5};
  door.to_m = {to_x_m, 1.5};
  door.width_m = to_x_m - from_x_m;
  door.sd_m = 0.02;
  return door;
}

TEST(DoorwayWidth, FacesSayItWhereTheyAreNear) {
  const TapeRoom room;
  std::vector<Doorway> doors{gap(-0.02, 4.03)};
  measure_doorways(doors, room.measurable(), 0.05);
  EXPECT_TRUE(doors[0].by_faces);
  EXPECT_NEAR(doors[0].width_m, 4.0, 1e-3);
  EXPECT_LT(doors[0].sd_m, 0.02);
}

TEST(DoorwayWidth, ElsewhereTheCellsDo) {
  TapeRoom room;
  room.map().constants.push_back({"lidar.range_scale", "1", 1.0, 0.01, 1.0, 0.005, false});
  room.map().constants.push_back({"lidar.range_offset_m", "m", 0.0, 0.01, 0.0, 0.002, false});
  std::vector<Doorway> doors{gap(0.3, 3.8)};
  measure_doorways(doors, room.measurable(), 0.05);
  EXPECT_FALSE(doors[0].by_faces);
  EXPECT_DOUBLE_EQ(doors[0].width_m, 3.5);
  EXPECT_NEAR(doors[0].sd_m, std::hypot(std::hypot(0.02, 0.005 * 3.5), 2.0 * 0.002), 1e-9);
}

}  // namespace
}  // namespace wainscot
