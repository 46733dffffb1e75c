// `export --rooms`, run with the real program: a room of 4.5 m by 3 m, whose faces lie from -1.55 to 2.95 and from -1
// to 2 in the map's frame.
#include "apps/export_rooms.hpp"

#include <cmath>
#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>
#include <string>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class ExportRooms : public CommandLine {
 protected:
  void build() const { ASSERT_EQ(run("build drive --out flat --quiet").status, 0); }
  void list(const std::string& rows) const {
    std::ofstream(folder_.path() / "rooms.csv") << "kind,name,x_m,y_m\n" << rows;
  }
  std::string handed_on(const std::string& name) const { return content(folder_.path() / "hand" / name); }
  std::map<std::string, std::string> bytes_of(const std::string& folder) const {
    std::map<std::string, std::string> bytes;
    for (const auto& entry : fs::directory_iterator(folder_.path() / folder)) {
      bytes[entry.path().filename().string()] = content(entry.path());
    }
    return bytes;
  }
  /// The level of the image, written as PGM, at a place of the map's frame.
  int level_at(double x_m, double y_m) const {
    std::istringstream world(handed_on("map.wld"));
    double cell_m = 0.0;
    double zero = 0.0;
    double down_m = 0.0;
    double left_m = 0.0;
    double top_m = 0.0;
    world >> cell_m >> zero >> zero >> down_m >> left_m >> top_m;
    const std::string image = handed_on("map.pgm");
    std::istringstream head(image.substr(3));
    long columns = 0;
    head >> columns;
    const long column = std::lround((x_m - left_m) / cell_m);
    const long row = std::lround((y_m - top_m) / down_m);
    const auto at = static_cast<std::size_t>(row * columns + column);
    return static_cast<unsigned char>(image.at(image.find("255\n") + 4 + at));
  }
};

const std::string kWestAndEast =
    "room_corner,west,-2,-1.5\nroom_corner,west,0.5,-1.5\nroom_corner,west,0.5,2.5\nroom_corner,west,-2,2.5\n"
    "room,east,2,0.5\n";

TEST_F(ExportRooms, ARoomAndItsArea) {
  build();
  list("room,parlour,0.5,0.5\n");
  const Outcome exported = run("export flat --out hand --rooms rooms.csv");
  ASSERT_EQ(exported.status, 0) << exported.err;
  EXPECT_NE(exported.out.find("parlour: 1"), std::string::npos) << exported.out;
  // Beams 3 degrees apart, from one spot, leave gaps along the walls.
  EXPECT_NE(exported.out.find("end where nothing was seen, so it may be larger\n"), std::string::npos) << exported.out;
  std::istringstream rows(handed_on("room_areas.csv"));
  std::string row;
  while (std::getline(rows, row) && !row.starts_with("1,parlour,")) {
  }
  double area_m2 = 0.0;
  double sd_m2 = 0.0;
  double unseen_m = 0.0;
  ASSERT_EQ(std::sscanf(row.c_str(), "1,parlour,%lf,%lf,%*f,%*f,%lf", &area_m2, &sd_m2, &unseen_m), 3) << row;
  constexpr double kUnseenStripM = 0.15;  // three cells
  EXPECT_LT(area_m2, 13.5 + 0.15);
  EXPECT_GT(area_m2, 13.5 - 0.15 - kUnseenStripM * unseen_m);
  EXPECT_GT(sd_m2, 0.0);
  EXPECT_FALSE(fs::exists(folder_.path() / "hand" / "no_go.csv"));
}

TEST_F(ExportRooms, RoomsDoorsAndAreasAreHandedOnAndTheMapStays) {
  build();
  const auto map = bytes_of("flat");
  list(kWestAndEast +
       "no_go_corner,pond,-1,-0.5\nno_go_corner,pond,-0.5,-0.5\nno_go_corner,pond,-0.5,0\nno_go_corner,pond,-1,0\n"
       "door_closed,middle,0.5,0.5\n");
  std::ofstream(folder_.path() / "lists.json.template")
      << "{\"rooms\": {{rooms}}, \"doors\": {{doors}}, \"no_go\": {{no_go_areas}}}";
  const Outcome exported =
      run("export flat --out hand --rooms rooms.csv --image pgm --clearance pgm --template lists.json.template");
  ASSERT_EQ(exported.status, 0) << exported.err;
  EXPECT_NE(exported.out.find("west to east: "), std::string::npos) << exported.out;
  EXPECT_NE(exported.out.find("; handed on closed\n"), std::string::npos) << exported.out;
  EXPECT_NE(exported.out.find("No robot shall go into pond"), std::string::npos) << exported.out;
  EXPECT_EQ(level_at(-0.75, -0.25), 0) << "the area";
  for (double y_m = -0.9; y_m < 1.95; y_m += 0.1) EXPECT_EQ(level_at(0.49, y_m), 0) << "the gap at " << y_m;
  EXPECT_GT(level_at(1.5, 0.5), 200) << "free floor";
  const auto lists = nlohmann::json::parse(handed_on("lists.json"));
  EXPECT_EQ(lists["rooms"].size(), 2U);
  EXPECT_EQ(lists["doors"][0]["rooms"], (std::vector<std::string>{"west", "east"}));
  EXPECT_NEAR(lists["doors"][0]["width_m"].get<double>(), 3.0, 0.06);
  EXPECT_EQ(lists["no_go"][0]["corners_m"].size(), 4U);
  EXPECT_NE(handed_on("doors.csv").find("1,west,east,"), std::string::npos);
  EXPECT_NE(handed_on("no_go.csv").find("\n4,pond,-1,0\n"), std::string::npos);
  EXPECT_EQ(bytes_of("flat"), map) << "the map itself stays as it is";
}

TEST_F(ExportRooms, WithoutRoomsNothingIsOtherwise) {
  build();
  ASSERT_EQ(run("export flat --out hand --clearance tif").status, 0);
  auto without = bytes_of("hand");
  list("room,parlour,0.5,0.5\n");
  ASSERT_EQ(run("export flat --out named --clearance tif --rooms rooms.csv").status, 0);
  auto with = bytes_of("named");
  for (const char* table : {"room_areas.csv", "room_outlines.csv", "doors.csv"}) EXPECT_EQ(with.erase(table), 1U);
  EXPECT_NE(with["plan.svg"].find(">parlour</text>"), std::string::npos);
  with.erase("plan.svg");
  EXPECT_EQ(without.erase("plan.svg"), 1U);
  EXPECT_EQ(with, without);
}

TEST_F(ExportRooms, WhatIsWrongIsSaidWithItsLine) {
  build();
  const auto expect = [&](const std::string& rows, int status, const std::string& words) {
    list(rows);
    expect_refused("export flat --out hand --rooms rooms.csv", status, words);
  };
  expect("room,a,0.5,0.5\nroom,b,2,1\n", 2, "rooms.csv:3: the point of 'b' lies in the room of 'a' (line 2)");
  expect("room,a,9,9\n", 2, "rooms.csv:2: the point of 'a' lies outside the map");
  expect("room,a,0.5,0.5\ndoor_open,d,0,0\n", 2, "rooms.csv:3: there is no door for 'd'");
  expect(kWestAndEast + "door_open,d,-1.4,0.5\n", 2, "rooms.csv:7: no door between rooms is within 1.00 m");
  expect(kWestAndEast + "door_open,d,0.5,0.5\ndoor_closed,e,0.5,0.6\n", 2,
         "rooms.csv:8: the door near 'e' is that of a row before");
  expect("no_go_corner,n,50,50\nno_go_corner,n,51,50\nno_go_corner,n,51,51\n", 2,
         "rooms.csv:2: the area 'n' lies outside the map");
  expect("rooms,a,0,0\n", 2, "rooms.csv:2: kind 'rooms' is none of");
  expect_refused("export flat --out hand --rooms absent.csv", 2, "absent.csv");
  take_all_walls_away(folder_.path() / "flat");
  list("room,a,0.5,0.5\n");
  expect_refused("export flat --out hand --rooms rooms.csv", 1, "the map has no wall, so it has no rooms");
}

TEST_F(ExportRooms, ADoorWithoutALeafHasNothingToBeTakenAway) {
  build();
  list(kWestAndEast + "door_open,middle,0.5,0.5\n");
  const Outcome exported = run("export flat --out hand --rooms rooms.csv");
  ASSERT_EQ(exported.status, 0);
  EXPECT_NE(exported.err.find("Warning: in the door 'middle' no leaf stands half open"), std::string::npos)
      << exported.err;
  EXPECT_NE(handed_on("doors.csv").find(",open\n"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
