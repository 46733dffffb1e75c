#include "apps/library/wainscot.h"

#include <array>
#include <cmath>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <limits>
#include <numbers>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "graph/known/locate.hpp"
#include "graph/mapping/mapper.hpp"
#include "io/map/known_map.hpp"
#include "io/map/map_folder.hpp"
#include "io/map/map_reader.hpp"
#include "io/spelling.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

/// A map on the disk, and the drive that it was made from.
struct HouseOnDisk {
  ReaderFolder folder;
  Drive drive = driven(ring_house()).drive;
  std::string path = (folder.path() / "house").string();

  HouseOnDisk() { write_map(build_map(drive, {}), drive, {"test", true, true}, path, false); }
};

struct LoggedScan {
  std::vector<double> angles_deg;
  std::vector<double> ranges;
  std::vector<double> offsets_s;

  explicit LoggedScan(const Scan& scan) {
    for (const Return& r : scan.returns) {
      angles_deg.push_back(static_cast<double>(r.angle_rad) * 180.0 / std::numbers::pi);
      ranges.push_back(static_cast<double>(r.range_m));
      offsets_s.push_back(static_cast<double>(r.time_offset_s));
    }
  }
};

int add(wainscot_locator* locator, const Scan& scan) {
  const LoggedScan logged(scan);
  return wainscot_add_scan(locator, scan.time_s, logged.ranges.size(), logged.angles_deg.data(), logged.ranges.data(),
                           logged.offsets_s.data());
}

std::vector<wainscot_location> answers_of(wainscot_locator* locator) {
  std::vector<wainscot_location> answers;
  wainscot_location here;
  int status = WAINSCOT_OK;
  while ((status = wainscot_next_location(locator, &here)) == WAINSCOT_OK) answers.push_back(here);
  EXPECT_EQ(status, WAINSCOT_NOTHING_YET) << wainscot_last_error();
  return answers;
}

/// What a locator says while the robot drives, the readings after `end_s` left out.
std::vector<wainscot_location> driven_answers(const wainscot_map* map, const Drive& drive, double end_s) {
  wainscot_locator* locator = wainscot_new_locator(map, nullptr);
  EXPECT_NE(locator, nullptr) << wainscot_last_error();
  std::vector<wainscot_location> answers;
  std::size_t scan = 0;
  for (const WheelCounts& counts : drive.wheels) {
    if (counts.time_s > end_s) break;
    EXPECT_EQ(wainscot_add_wheels(locator, counts.time_s, counts.left_ticks, counts.right_ticks), WAINSCOT_OK);
    for (; scan < drive.scans.size() && drive.scans[scan].time_s + 0.3 < counts.time_s; ++scan) {
      EXPECT_EQ(add(locator, drive.scans[scan]), WAINSCOT_OK) << wainscot_last_error();
    }
    for (const wainscot_location& here : answers_of(locator)) answers.push_back(here);
  }
  wainscot_delete_locator(locator);
  return answers;
}

TEST(CInterface, AnswersAsLocateDoes) {
  const HouseOnDisk house;
  wainscot_map* map = wainscot_open_map(house.path.c_str());
  ASSERT_NE(map, nullptr) << wainscot_last_error();
  const std::vector<wainscot_location> answers =
      driven_answers(map, house.drive, std::numeric_limits<double>::infinity());
  wainscot_close_map(map);

  const SavedMap saved = read_map(house.path);
  const KnownRobot robot = with_found_constants(house.drive, saved);
  const std::vector<LocatedScan> recorded = locate_drive(known_map(saved), robot.drive, robot.lidar, robot.options);
  ASSERT_GT(answers.size(), recorded.size() * 9 / 10);
  std::size_t found = 0;
  for (std::size_t i = 0; i < answers.size(); ++i) {
    EXPECT_EQ(answers[i].scan, recorded[i].scan);
    ASSERT_EQ(answers[i].answer, static_cast<int>(recorded[i].location.answer)) << i;
    if (answers[i].answer != WAINSCOT_FOUND) continue;
    ++found;
    const Pose2& pose = recorded[i].location.places.front().pose;
    EXPECT_NEAR(answers[i].x_m, pose.x_m, 1e-3) << i;
    EXPECT_NEAR(answers[i].y_m, pose.y_m, 1e-3) << i;
    EXPECT_NEAR(answers[i].heading_rad, wrap_angle(pose.heading_rad), 1e-3) << i;
    EXPECT_GT(answers[i].sd_x_m, 0.0);
    EXPECT_LT(answers[i].sd_x_m, 0.05);
  }
  EXPECT_GT(found, answers.size() / 2);
}

TEST(CInterface, TellsHowFarTheNearestWallIs) {
  const HouseOnDisk house;
  wainscot_map* map = wainscot_open_map(house.path.c_str());
  ASSERT_NE(map, nullptr) << wainscot_last_error();
  // The robot began at (1.3, 1.1) m of the plan, whose walls stand at x = 0 and y = 0, and that is the map's origin.
  double distance_m = -1.0;
  EXPECT_EQ(wainscot_wall_distance(map, 0.0, 0.0, &distance_m), WAINSCOT_OK);
  EXPECT_GT(distance_m, 0.2);
  EXPECT_LT(distance_m, 1.11);
  EXPECT_EQ(wainscot_wall_distance(map, std::numeric_limits<double>::quiet_NaN(), 0.0, &distance_m),
            WAINSCOT_WRONG_INPUT);
  EXPECT_EQ(wainscot_wall_distance(map, 0.0, 0.0, nullptr), WAINSCOT_WRONG_INPUT);
  EXPECT_EQ(wainscot_wall_distance(nullptr, 0.0, 0.0, &distance_m), WAINSCOT_WRONG_INPUT);
  wainscot_close_map(map);
}

TEST(CInterface, WrongInputIsASentenceAndNothingIsTaken) {
  EXPECT_STREQ(wainscot_version(), "1.0.0");
  EXPECT_EQ(wainscot_open_map("/no/such/map"), nullptr);
  EXPECT_NE(std::string(wainscot_last_error()).find("/no/such/map"), std::string::npos) << wainscot_last_error();
  EXPECT_EQ(wainscot_open_map(nullptr), nullptr);
  EXPECT_EQ(wainscot_new_locator(nullptr, nullptr), nullptr);
  EXPECT_NE(std::string(wainscot_last_error()), "");

  const HouseOnDisk house;
  wainscot_map* map = wainscot_open_map(house.path.c_str());
  EXPECT_EQ(wainscot_new_locator(map, "/no/such/robot.yaml"), nullptr);
  wainscot_locator* locator = wainscot_new_locator(map, nullptr);
  ASSERT_NE(locator, nullptr) << wainscot_last_error();
  EXPECT_STREQ(wainscot_last_error(), "") << "of the last call, which went well";
  wainscot_location here;
  EXPECT_EQ(wainscot_next_location(locator, &here), WAINSCOT_NOTHING_YET);
  EXPECT_EQ(wainscot_next_location(locator, nullptr), WAINSCOT_WRONG_INPUT);
  EXPECT_EQ(wainscot_add_wheels(locator, 2.0, 0, 0), WAINSCOT_OK);
  EXPECT_EQ(wainscot_add_wheels(locator, 1.0, 0, 0), WAINSCOT_WRONG_INPUT);
  EXPECT_EQ(wainscot_add_pose(locator, 3.0, 0.0, 0.0, 0.0), WAINSCOT_WRONG_INPUT) << "wheels were given before";
  EXPECT_EQ(wainscot_add_pose(locator, 3.0, NAN, 0.0, 0.0), WAINSCOT_WRONG_INPUT);
  EXPECT_EQ(wainscot_add_yaw_rate(locator, 3.0, NAN), WAINSCOT_WRONG_INPUT);
  const double angles[] = {0.0, NAN};
  const double offsets[] = {0.1, 0.0};
  EXPECT_EQ(wainscot_add_scan(locator, 3.0, 2, angles, offsets, nullptr), WAINSCOT_WRONG_INPUT);
  EXPECT_EQ(wainscot_add_scan(locator, 3.0, 2, offsets, offsets, offsets), WAINSCOT_WRONG_INPUT) << "back in time";
  EXPECT_EQ(wainscot_add_scan(locator, 3.0, 2, nullptr, offsets, nullptr), WAINSCOT_WRONG_INPUT);
  EXPECT_EQ(wainscot_add_scan(locator, NAN, 2, offsets, offsets, nullptr), WAINSCOT_WRONG_INPUT);
  EXPECT_EQ(wainscot_add_scan(locator, 3.0, 0, nullptr, nullptr, nullptr), WAINSCOT_OK) << "no beam, no answer";
  EXPECT_EQ(wainscot_add_break(locator), WAINSCOT_OK);
  EXPECT_EQ(wainscot_restart(locator), WAINSCOT_OK);
  EXPECT_EQ(wainscot_restart(nullptr), WAINSCOT_WRONG_INPUT);
  wainscot_delete_locator(locator);
  wainscot_delete_locator(nullptr);
  wainscot_close_map(map);
  wainscot_close_map(nullptr);
}

TEST(CInterface, TellsWhatIsOnTheFloor) {
  const HouseOnDisk house;
  wainscot_map* map = wainscot_open_map(house.path.c_str());
  ASSERT_NE(map, nullptr) << wainscot_last_error();
  std::int32_t floor = -1;
  EXPECT_EQ(wainscot_floor_at(map, 0.0, 0.0, &floor), WAINSCOT_OK);
  EXPECT_EQ(floor, WAINSCOT_FREE) << "the robot stood there";
  for (const double far_m : {-1e300, -1e6, 1e6, 1e300}) {
    EXPECT_EQ(wainscot_floor_at(map, far_m, 0.0, &floor), WAINSCOT_OK);
    EXPECT_EQ(floor, WAINSCOT_UNKNOWN) << far_m;
  }
  // Each cell by its middle.
  const OccupancyGrid grid = read_map(house.path).map.grid;
  std::array<int, 3> counted = {0, 0, 0};
  for (std::int32_t row = 0; row < grid.frame.rows; ++row) {
    for (std::int32_t column = 0; column < grid.frame.columns; ++column) {
      const double x_m = (grid.frame.first_column + column + 0.5) * grid.frame.cell_size_m;
      const double y_m = (grid.frame.first_row + row + 0.5) * grid.frame.cell_size_m;
      ASSERT_EQ(wainscot_floor_at(map, x_m, y_m, &floor), WAINSCOT_OK);
      ++counted.at(static_cast<std::size_t>(floor));
      const auto p = static_cast<double>(grid.probability[static_cast<std::size_t>(row * grid.frame.columns + column)]);
      ASSERT_EQ(floor, p >= 0.6 ? WAINSCOT_OCCUPIED : p <= 0.4 ? WAINSCOT_FREE : WAINSCOT_UNKNOWN) << p;
    }
  }
  for (const int cells : counted) EXPECT_GT(cells, 100);
  EXPECT_EQ(wainscot_floor_at(map, NAN, 0.0, &floor), WAINSCOT_WRONG_INPUT);
  EXPECT_EQ(wainscot_floor_at(map, 0.0, 0.0, nullptr), WAINSCOT_WRONG_INPUT);
  EXPECT_EQ(wainscot_floor_at(nullptr, 0.0, 0.0, &floor), WAINSCOT_WRONG_INPUT);
  wainscot_close_map(map);
}

// That it writes the bytes that `build` does, tests/apps/library/library_check.py looks at.
TEST(CInterface, BuildingCanBeStoppedAndThenNothingIsThere) {
  const std::string drive = std::string(WAINSCOT_CHECKOUT) + "/data/demo/drive";
  const ReaderFolder folder;
  const std::string map = (folder.path() / "map").string();
  std::vector<std::pair<std::string, double>> told;
  const auto until_matching = [](void* user, const char* stage, double fraction) {
    static_cast<std::vector<std::pair<std::string, double>>*>(user)->emplace_back(stage, fraction);
    return std::string(stage) == "matching" ? 1 : 0;
  };
  EXPECT_EQ(wainscot_build_map(drive.c_str(), map.c_str(), until_matching, &told), WAINSCOT_STOPPED);
  EXPECT_STREQ(wainscot_last_error(), "stopped as asked; nothing was written");
  ASSERT_FALSE(told.empty());
  EXPECT_EQ(told.back().first, "matching");
  for (const auto& [stage, fraction] : told) {
    EXPECT_GE(fraction, 0.0);
    EXPECT_LE(fraction, 1.0);
  }
  EXPECT_TRUE(std::filesystem::is_empty(folder.path()));

  EXPECT_EQ(wainscot_build_map(nullptr, map.c_str(), nullptr, nullptr), WAINSCOT_WRONG_INPUT);
  EXPECT_EQ(wainscot_build_map(drive.c_str(), nullptr, nullptr, nullptr), WAINSCOT_WRONG_INPUT);
  EXPECT_EQ(wainscot_build_map("/no/such/drive", map.c_str(), nullptr, nullptr), WAINSCOT_WRONG_INPUT);
  EXPECT_NE(std::string(wainscot_last_error()).find("/no/such/drive"), std::string::npos) << wainscot_last_error();
  EXPECT_EQ(wainscot_build_map(drive.c_str(), folder.path().c_str(), nullptr, nullptr), WAINSCOT_WRONG_INPUT)
      << "something is there";
  EXPECT_TRUE(std::filesystem::is_empty(folder.path()));
}

TEST(CInterface, WhatIsNoUtf8IsTakenAsItIsAndToldInUtf8) {
  const HouseOnDisk house;
  const std::string odd = (house.folder.path() / "ma\xff\xfe\np").string();
  EXPECT_EQ(wainscot_open_map(odd.c_str()), nullptr);
  const std::string said = wainscot_last_error();
  EXPECT_TRUE(is_plain_text(said)) << said;
  EXPECT_NE(said.find("ma\\xff\\xfe\\x0ap: is not there"), std::string::npos) << said;
  EXPECT_EQ(wainscot_build_map(odd.c_str(), odd.c_str(), nullptr, nullptr), WAINSCOT_WRONG_INPUT);
  EXPECT_TRUE(is_plain_text(wainscot_last_error())) << wainscot_last_error();

  std::filesystem::rename(house.path, odd);
  wainscot_map* map = wainscot_open_map(odd.c_str());
  EXPECT_NE(map, nullptr) << wainscot_last_error();
  wainscot_close_map(map);
}

TEST(CInterface, AfterARefusalEverythingGoesOn) {
  const HouseOnDisk house;
  wainscot_map* map = wainscot_open_map(house.path.c_str());
  ASSERT_NE(map, nullptr) << wainscot_last_error();
  wainscot_locator* locator = wainscot_new_locator(map, nullptr);
  ASSERT_NE(locator, nullptr) << wainscot_last_error();
  std::size_t scan = 0;
  std::vector<wainscot_location> answers;
  for (const WheelCounts& counts : house.drive.wheels) {
    if (counts.time_s > house.drive.wheels.front().time_s + 6.0) break;
    ASSERT_EQ(wainscot_add_wheels(locator, counts.time_s, counts.left_ticks, counts.right_ticks), WAINSCOT_OK);
    ASSERT_EQ(wainscot_add_wheels(locator, counts.time_s - 1.0, 0, 0), WAINSCOT_WRONG_INPUT);
    ASSERT_EQ(wainscot_add_wheels(locator, NAN, 0, 0), WAINSCOT_WRONG_INPUT);
    for (; scan < house.drive.scans.size() && house.drive.scans[scan].time_s + 0.3 < counts.time_s; ++scan) {
      ASSERT_EQ(wainscot_add_scan(locator, NAN, 0, nullptr, nullptr, nullptr), WAINSCOT_WRONG_INPUT);
      ASSERT_EQ(add(locator, house.drive.scans[scan]), WAINSCOT_OK) << wainscot_last_error();
    }
    for (const wainscot_location& here : answers_of(locator)) answers.push_back(here);
  }
  wainscot_delete_locator(locator);
  const std::vector<wainscot_location> undisturbed =
      driven_answers(map, house.drive, house.drive.wheels.front().time_s + 6.0);
  wainscot_close_map(map);
  ASSERT_EQ(answers.size(), undisturbed.size());
  ASSERT_GT(answers.size(), 10U);
  for (std::size_t i = 0; i < answers.size(); ++i) {
    EXPECT_EQ(answers[i].answer, undisturbed[i].answer);
    EXPECT_EQ(answers[i].x_m, undisturbed[i].x_m);
    EXPECT_EQ(answers[i].heading_rad, undisturbed[i].heading_rad);
  }
}

TEST(CInterface, TwoLocatorsOfOneMapDriveInTwoThreads) {
  const HouseOnDisk house;
  wainscot_map* map = wainscot_open_map(house.path.c_str());
  ASSERT_NE(map, nullptr) << wainscot_last_error();
  const double end_s = house.drive.wheels.front().time_s + 10.0;
  std::vector<wainscot_location> there;
  std::string error_there;
  std::thread other([&] {
    there = driven_answers(map, house.drive, end_s);
    wainscot_open_map("/no/such/other");
    error_there = wainscot_last_error();
  });
  const std::vector<wainscot_location> here = driven_answers(map, house.drive, end_s);
  wainscot_open_map("/no/such/map");
  other.join();
  EXPECT_NE(error_there.find("/no/such/other"), std::string::npos) << error_there;
  EXPECT_NE(std::string(wainscot_last_error()).find("/no/such/map"), std::string::npos) << "each thread has its own";
  ASSERT_EQ(here.size(), there.size());
  ASSERT_GT(here.size(), 10U);
  for (std::size_t i = 0; i < here.size(); ++i) {
    EXPECT_EQ(here[i].answer, there[i].answer);
    EXPECT_EQ(here[i].x_m, there[i].x_m);
  }
  wainscot_close_map(map);
}

// A map of another form than the present one: refused, the older one with the command that renews it.
TEST(CInterface, AMapOfAnotherFormIsRefusedWithWhatToDo) {
  const HouseOnDisk house;
  const auto refusal = [&] {
    wainscot_map* map = wainscot_open_map(house.path.c_str());
    EXPECT_EQ(map, nullptr);
    wainscot_close_map(map);
    return std::string(wainscot_last_error());
  };
  const std::string renewal = "renew the map from its drive: wainscot build DRIVE --out " + house.path + " --replace";
  {  // PRAGMA user_version: https://www.sqlite.org/fileformat.html, a big-endian number at byte 60
    std::fstream database(house.path + "/graph.sqlite", std::ios::in | std::ios::out | std::ios::binary);
    for (const int form : {99, 1, 2}) {
      database.seekp(63).put(static_cast<char>(form)).flush();
      if (form == 2) break;
      const std::string said = refusal();
      EXPECT_NE(said.find(form > 2 ? "newer form (99) than this program reads (2); update the program" : renewal),
                std::string::npos)
          << said;
    }
  }
  const std::string sidecar = house.path + "/grid.yaml";
  for (const char form : {'0', '7', '1'}) {
    std::fstream(sidecar, std::ios::in | std::ios::out).seekp(14).put(form);
    if (form == '1') break;
    const std::string said = refusal();
    EXPECT_NE(said.find(form == '7' ? "newer form (7)" : renewal), std::string::npos) << said;
  }
  wainscot_map* map = wainscot_open_map(house.path.c_str());
  EXPECT_NE(map, nullptr) << wainscot_last_error();
  wainscot_close_map(map);
}

}  // namespace
}  // namespace wainscot
