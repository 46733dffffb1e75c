#include "apps/library/wainscot.h"

#include <cmath>
#include <limits>
#include <numbers>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "graph/known/locate.hpp"
#include "graph/mapping/mapper.hpp"
#include "io/map/known_map.hpp"
#include "io/map/map_folder.hpp"
#include "io/map/map_reader.hpp"
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

TEST(CInterface, AnswersAsLocateDoes) {
  const HouseOnDisk house;
  wainscot_map* map = wainscot_open_map(house.path.c_str());
  ASSERT_NE(map, nullptr) << wainscot_last_error();
  wainscot_locator* locator = wainscot_new_locator(map, nullptr);
  ASSERT_NE(locator, nullptr) << wainscot_last_error();
  std::vector<wainscot_location> answers;
  std::size_t scan = 0;
  for (const WheelCounts& counts : house.drive.wheels) {
    ASSERT_EQ(wainscot_add_wheels(locator, counts.time_s, counts.left_ticks, counts.right_ticks), WAINSCOT_OK);
    for (; scan < house.drive.scans.size() && house.drive.scans[scan].time_s + 0.3 < counts.time_s; ++scan) {
      ASSERT_EQ(add(locator, house.drive.scans[scan]), WAINSCOT_OK) << wainscot_last_error();
    }
    for (const wainscot_location& here : answers_of(locator)) answers.push_back(here);
  }
  wainscot_delete_locator(locator);
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

}  // namespace
}  // namespace wainscot
