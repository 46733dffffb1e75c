#include "io/rooms/room_labels.hpp"

#include <algorithm>
#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/rooms/two_rooms.hpp"

namespace wainscot {
namespace {

ListedRoom point_room(const std::string& name, double x_m, double y_m, std::size_t line) {
  return {name, false, {{{x_m, y_m}, line}}};
}

ListedRoom corner_room(const std::string& name, double low_m, double high_m, std::size_t line) {
  return {name,
          true,
          {{{low_m, 0.0}, line}, {{high_m, 0.0}, line + 1}, {{high_m, 3.0}, line + 2}, {{low_m, 3.0}, line + 3}}};
}

RoomLabels labels_of(const TwoRooms& home, std::vector<ListedRoom> rooms) {
  return room_labels(open_floor(home.grid), {"rooms.csv", std::move(rooms), {}, {}});
}

void expect_refused(const TwoRooms& home, std::vector<ListedRoom> rooms, const std::string& words) {
  try {
    labels_of(home, std::move(rooms));
    ADD_FAILURE() << "not refused: " << words;
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find(words), std::string::npos) << error.what();
  }
}

TEST(RoomLabels, PointsNameTheRoomsAroundThem) {
  const TwoRooms home;
  const RoomLabels labels = labels_of(home, {point_room("left", 0.3, 0.3, 2), point_room("right", 4.0, 2.0, 3)});
  EXPECT_EQ(labels.names, (std::vector<std::string>{"left", "right"}));
  EXPECT_EQ(labels.of_cell[home.cell_at(2.41, 2.91)], 0);
  EXPECT_EQ(labels.of_cell[home.cell_at(2.61, 0.11)], 1);
  EXPECT_EQ(labels.of_cell[home.cell_at(2.51, 0.51)], -1);
}

TEST(RoomLabels, ARoomEndsAtItsDoorThoughTheNextHasNoName) {
  const TwoRooms home;
  const RoomLabels labels = labels_of(home, {point_room("left", 1.0, 1.0, 2)});
  ASSERT_EQ(labels.names.size(), 2U);
  EXPECT_TRUE(labels.names[1].empty());
  EXPECT_FALSE(labels.is_named(labels.of_cell[home.cell_at(4.01, 1.01)]));
  EXPECT_FALSE(labels.is_named(-1));
}

TEST(RoomLabels, SeveralPointsAreOneRoom) {
  const TwoRooms home;
  const ListedRoom both{"both", false, {{{1.0, 1.0}, 2}, {{4.0, 1.0}, 3}}};
  const RoomLabels labels = labels_of(home, {both});
  EXPECT_EQ(labels.of_cell[home.cell_at(1.01, 1.01)], 0);
  EXPECT_EQ(labels.of_cell[home.cell_at(4.01, 1.01)], 0);
}

TEST(RoomLabels, CornersCutTheFloor) {
  const TwoRooms home;
  const RoomLabels labels = labels_of(home, {corner_room("west", 0.0, 1.0, 2), point_room("rest", 1.7, 1.5, 6)});
  EXPECT_EQ(labels.of_cell[home.cell_at(0.96, 1.0)], 0);
  EXPECT_EQ(labels.of_cell[home.cell_at(1.01, 1.0)], 1);
}

TEST(RoomLabels, WhatIsWrongIsSaid) {
  TwoRooms home;
  expect_refused(home, {point_room("a", 2.51, 0.5, 2)}, "rooms.csv:2: the point of 'a' lies in a wall, or where");
  expect_refused(home, {point_room("a", -0.2, 0.5, 2)}, "rooms.csv:2: the point of 'a' lies in a wall, or where");
  expect_refused(home, {point_room("a", 9.0, 0.5, 2)}, "rooms.csv:2: the point of 'a' lies outside the map");
  expect_refused(home, {point_room("a", 1.0, 0.5, 2), point_room("b", 1.0, 2.0, 3)},
                 "rooms.csv:3: the point of 'b' lies in the room of 'a' (line 2)");
  expect_refused(home, {corner_room("a", 0.0, 2.0, 2), point_room("b", 1.0, 2.0, 6)},
                 "rooms.csv:6: the point of 'b' lies within the border of 'a'");
  expect_refused(home, {corner_room("a", 0.0, 2.0, 2), corner_room("b", 1.9, 3.0, 6)},
                 "rooms.csv:6: the border of 'b' holds floor of 'a' too");
  expect_refused(home, {corner_room("a", 7.0, 8.0, 2)}, "rooms.csv:2: the border of 'a' holds no floor");
  home.fill(2.45, 1.0, 2.55, 1.8, 0.95F);  // the door is shut
  const ListedRoom both{"both", false, {{{1.0, 1.0}, 2}, {{4.0, 1.0}, 3}}};
  expect_refused(home, {both}, "rooms.csv:3: another room lies between this point of 'both' and the one of line 2");
}

TEST(RoomLabels, ANicheWithoutANameIsOfItsRoom) {
  TwoRooms home;
  home.fill(0.05, 2.3, 1.0, 2.35, 0.95F);  // 0.95 by 0.6 m behind a screen, with a gap to the right
  home.fill(1.0, 2.3, 1.05, 2.4, 0.95F);
  const RoomLabels labels = labels_of(home, {point_room("left", 1.2, 1.0, 2), point_room("right", 4.0, 2.0, 3)});
  EXPECT_EQ(labels.of_cell[home.cell_at(0.31, 2.71)], 0);
  EXPECT_EQ(labels.names.size(), 2U);
}

}  // namespace
}  // namespace wainscot
