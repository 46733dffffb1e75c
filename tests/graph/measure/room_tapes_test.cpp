#include "graph/measure/room_tapes.hpp"

#include <gtest/gtest.h>

#include "tests/graph/tape_room.hpp"

namespace wainscot {
namespace {

TEST(RoomTapesTest, WidthAlongXDepthAlongY) {
  TapeRoom room;
  const RoomTapes tapes = room_tapes(room.map().wall_pieces, {1.0, 1.0});
  ASSERT_TRUE(tapes.width && tapes.depth);
  EXPECT_NEAR((tapes.width->to_m - tapes.width->from_m).x(), 4.0, 1e-6);
  EXPECT_NEAR(tapes.width->from_m.y(), 1.0, 1e-6);
  EXPECT_NEAR((tapes.depth->to_m - tapes.depth->from_m).y(), 3.0, 1e-6);
}

TEST(RoomTapesTest, ATablesLegIsNoWall) {
  TapeRoom room;
  room.map().wall_pieces.push_back({{2.0, 1.0}, 3.14159265, 0.03, 0.002, 40, 9});
  const RoomTapes tapes = room_tapes(room.map().wall_pieces, {1.0, 1.0});
  ASSERT_TRUE(tapes.width);
  EXPECT_NEAR(tapes.width->to_m.x(), 4.0, 1e-6);
}

TEST(RoomTapesTest, OutsideThereIsNone) {
  TapeRoom room;
  const RoomTapes tapes = room_tapes(room.map().wall_pieces, {20.0, 20.0});
  EXPECT_FALSE(tapes.width);
  EXPECT_FALSE(tapes.depth);
  EXPECT_FALSE(room_tapes({}, {0.0, 0.0}).width);
}

}  // namespace
}  // namespace wainscot
