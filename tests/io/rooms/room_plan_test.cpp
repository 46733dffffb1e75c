#include "io/rooms/room_plan.hpp"

#include <string>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace wainscot {
namespace {

RoomPlan small_plan() {
  RoomPlan plan;
  plan.labels.names = {"hall \"east\"", "bath", ""};
  plan.labels.named = 2;
  plan.floors = {{6.95, 0.02, 10.7, 9.0, 2.0, 0.8, {1, 1}, {{0, 0}, {2.4, 0}, {2.4, 2.9}}},
                 {4.0, 0.01, 8.0, 8.0, 0.0, 0.8, {4, 1}, {{3, 0}, {5, 0}, {5, 2}, {3, 2}}}};
  const DoorLeaf leaf{{2.5, 1.0}, {1.93, 1.57}, {2.5, 1.8}};
  plan.doors = {{0, 1, {2.5, 1.0}, {2.5, 1.8}, 0.8, 0.004, true, leaf}, {1, 2, {4, 2}, {4.9, 2}, 0.9, 0.02, false, {}}};
  plan.states = {DoorState::closed, DoorState::as_mapped};
  plan.no_go = {{"pond", {{{1, 1}, 5}, {{2, 1}, 6}, {{2, 2}, 7}}}};
  plan.simulated = true;
  return plan;
}

/// Without the caution.
std::string rows_of(const std::string& table) { return table.substr(table.find('\n') + 1); }

TEST(RoomPlan, Tables) {
  const RoomPlan plan = small_plan();
  EXPECT_EQ(room_areas_csv(plan).rfind("# Simulated. ", 0), 0U);
  EXPECT_EQ(rows_of(room_areas_csv(plan)),
            "number,room,area_m2,standard_uncertainty_m2,border_m,border_by_faces_m,border_unseen_m,border_to_rooms_m\n"
            "1,hall \"east\",6.95,0.02,10.7,9,2,0.8\n2,bath,4,0.01,8,8,0,0.8\n");
  EXPECT_EQ(
      rows_of(room_outlines_csv(plan)).rfind("corner,room,x_m,y_m\n1,hall \"east\",0,0\n2,hall \"east\",2.4,0\n", 0),
      0U);
  EXPECT_EQ(
      rows_of(doors_csv(plan)),
      "door,room_1,room_2,x1_m,y1_m,x2_m,y2_m,width_m,standard_uncertainty_m,measured_by,leaf_open_deg,handed_on\n"
      "1,hall \"east\",bath,2.5,1,2.5,1.8,0.8,0.004,faces,45,closed\n"
      "2,bath,,4,2,4.9,2,0.9,0.02,cells,,as mapped\n");
  EXPECT_EQ(rows_of(no_go_csv(plan)), "corner,area,x_m,y_m\n1,pond,1,1\n2,pond,2,1\n3,pond,2,2\n");
}

TEST(RoomPlan, ListsForTemplates) {
  for (const Placeholder& list : room_placeholders({})) EXPECT_EQ(list.value, "[]") << list.name;
  const std::vector<Placeholder> lists = room_placeholders(small_plan());
  ASSERT_EQ(lists.size(), 3U);
  EXPECT_EQ(lists[0].name, "rooms");
  const auto rooms = nlohmann::json::parse(lists[0].value);
  EXPECT_EQ(rooms[0]["name"], "hall \"east\"");
  EXPECT_EQ(rooms[1]["corners_m"][2][1], 2.0);
  const auto doors = nlohmann::json::parse(lists[1].value);
  EXPECT_EQ(doors[0]["handed_on"], "closed");
  EXPECT_EQ(doors[1]["rooms"][1], "");
  const auto areas = nlohmann::json::parse(lists[2].value);
  EXPECT_EQ(areas[0]["name"], "pond");
  EXPECT_EQ(areas[0]["corners_m"].size(), 3U);
}

TEST(RoomPlan, Words) {
  EXPECT_TRUE(room_words({}).empty());
  EXPECT_EQ(room_words(small_plan()),
            "hall \"east\": 6.950 ± 0.020 m² of free floor; of its border of 10.7 m 2.00 m end where nothing was seen, "
            "so it may be larger\n"
            "bath: 4.000 ± 0.010 m² of free floor\n"
            "Door 1, hall \"east\" to bath: 0.8000 ± 0.0040 m clear, at 2.50,1.40, from the faces of its jambs; a leaf "
            "stands 45° open in it; handed on closed\n"
            "Door 2, bath to floor without a name: 0.900 ± 0.020 m clear, at 4.45,2.00, from the cells\n"
            "No robot shall go into pond: handed on as wall\n");
}

}  // namespace
}  // namespace wainscot
