#include "io/rooms/room_list.hpp"

#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

const std::string kHead = "kind,name,x_m,y_m\n";

class RoomListReading : public testing::Test {
 protected:
  RoomList read(const std::string& rows) {
    std::vector<std::string> warnings;
    return read_rooms(folder_.write("rooms.csv", kHead + rows), warnings);
  }
  std::string refusal(const std::string& rows) {
    try {
      read(rows);
    } catch (const InputError& error) {
      return error.what();
    }
    return "not refused";
  }
  void expect_refused(const std::string& rows, const std::string& line_and_words) {
    EXPECT_NE(refusal(rows).find("rooms.csv:" + line_and_words), std::string::npos) << refusal(rows);
  }

  ReaderFolder folder_;
};

TEST_F(RoomListReading, AllKinds) {
  const RoomList list = read(
      "room,kitchen,1.5,2\n"
      "room_corner,hall,0,0\nroom_corner,hall,2,0\nroom_corner,hall,2,1\n"
      "# a comment\n"
      "no_go_corner,pond,5,5\nno_go_corner,pond,6,5\nno_go_corner,pond,6,6\n"
      "door_open,bath door,3,1\ndoor_closed,cellar,4,1\n"
      "room,kitchen,2.5,2\n");
  ASSERT_EQ(list.rooms.size(), 2U);
  EXPECT_EQ(list.rooms[0].name, "kitchen");
  EXPECT_FALSE(list.rooms[0].has_corners);
  ASSERT_EQ(list.rooms[0].points.size(), 2U);
  EXPECT_EQ(list.rooms[0].points[0].at_m, Eigen::Vector2d(1.5, 2.0));
  EXPECT_EQ(list.rooms[0].points[1].line, 12U);
  EXPECT_TRUE(list.rooms[1].has_corners);
  EXPECT_EQ(corners_of(list.rooms[1].points).size(), 3U);
  ASSERT_EQ(list.no_go.size(), 1U);
  EXPECT_EQ(list.no_go[0].name, "pond");
  ASSERT_EQ(list.doors.size(), 2U);
  EXPECT_TRUE(list.doors[0].open);
  EXPECT_FALSE(list.doors[1].open);
  EXPECT_EQ(list.doors[1].name, "cellar");
}

TEST_F(RoomListReading, WhatIsWrongIsSaidWithItsLine) {
  expect_refused("rooms,kitchen,1,2\n", "2: kind 'rooms' is none of room, room_corner,");
  expect_refused("room,kitchen,nan,2\n", "2: x_m ");
  expect_refused("room,kitchen,1,1e9\n", "2: y_m ");
  expect_refused("room,,1,2\n", "2: name ");
  expect_refused("room,kitchen,1\n", "2: ");
  expect_refused("room,a,1,2\nroom_corner,a,1,2\n", "3: name 'a' is that of line 2 too; a room has either");
  expect_refused("door_open,a,1,2\ndoor_open,a,1,3\n", "3: name 'a' is that of line 2 too; give each door");
  expect_refused("room_corner,a,0,0\nroom,b,3,3\nroom_corner,a,1,0\nroom_corner,a,1,1\n",
                 "4: name 'a' is that of line 2 too; write all corners");
  expect_refused("no_go_corner,a,0,0\nno_go_corner,a,1,0\n", "3: 'a' has 2 of at least three corners");
  expect_refused("no_go_corner,a,0,0\nno_go_corner,a,2,2\nno_go_corner,a,2,0\nno_go_corner,a,0,2\n",
                 "4: the border of 'a' crosses itself: its edge from here meets the one from line 2");
  expect_refused("room_corner,a,0,0\nroom_corner,a,2,2\nroom_corner,a,2,2\nroom_corner,a,0,2\n",
                 "3: the border of 'a' crosses itself");
}

TEST_F(RoomListReading, ThePointOfAMessageIsInItsFile) {
  EXPECT_THROW(fail_at_point("my.csv", {{1.0, 2.0}, 7}, "is wrong"), InputError);
  try {
    fail_at_point("my.csv", {{1.0, 2.0}, 7}, "is wrong");
  } catch (const InputError& error) {
    EXPECT_STREQ(error.what(), "my.csv:7: is wrong");
  }
}

}  // namespace
}  // namespace wainscot
