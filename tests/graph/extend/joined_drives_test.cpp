#include "graph/extend/joined_drives.hpp"

#include <algorithm>
#include <string>

#include <gtest/gtest.h>

#include "core/odometry.hpp"

namespace wainscot {
namespace {

Drive short_drive(const std::string& name, double begin_s) {
  Drive drive;
  drive.name = name;
  drive.robot.drive = DriveConstants{};
  drive.robot.drive->left_m_per_tick = drive.robot.drive->right_m_per_tick = 1e-3;
  drive.robot.drive->track_width_m = 0.3;
  for (int i = 0; i <= 20; ++i) drive.wheels.push_back({begin_s + 0.1 * i, 100 * i, 100 * i});
  for (int i = 0; i < 4; ++i) drive.scans.push_back({begin_s + 0.5 * i, {{0.0F, 2.0F, 0.0F}, {1.0F, 2.0F, 0.1F}}});
  return drive;
}

TEST(JoinedDrives, ALaterDriveFollowsWithAGapAndABreak) {
  const std::vector<Drive> drives = {short_drive("monday", 0.0), short_drive("tuesday", 1000.5)};
  const JoinedDrives joined = join_drives(drives, std::vector<DayConstants>(2), 1);
  ASSERT_EQ(joined.parts.size(), 2U);
  EXPECT_EQ(joined.parts[1].first_scan, 4U);
  EXPECT_TRUE(joined.parts[0].nodes_only);
  EXPECT_FALSE(joined.parts[1].nodes_only);
  EXPECT_EQ(joined.drive.breaks, (std::vector<std::size_t>{21}));
  EXPECT_GT(joined.drive.wheels[21].time_s, joined.drive.wheels[20].time_s + 99.0);
  EXPECT_NEAR(joined.drive.scans[5].time_s - joined.parts[1].shift_s, 1001.0, 1e-9);
  EXPECT_EQ(joined.own_scan[5], 1U);
  const std::vector<OdometryStep> steps = odometry_steps(joined.drive);
  const auto between_days = std::find_if(steps.begin(), steps.end(), [](const OdometryStep& s) { return s.unknown; });
  ASSERT_NE(between_days, steps.end());
  EXPECT_EQ(between_days->begin_s, joined.drive.wheels[20].time_s);
  EXPECT_EQ(between_days->end_s, joined.drive.wheels[21].time_s);
  EXPECT_EQ(between_days->motion, Tangent2::Zero());
  EXPECT_EQ(part_at(joined.parts, joined.drive.scans[3].time_s), 0U);
  EXPECT_EQ(part_at(joined.parts, joined.drive.scans[4].time_s), 1U);
}

TEST(JoinedDrives, WhatDiffersFromDayToDayIsTakenOut) {
  std::vector<Drive> drives = {short_drive("monday", 0.0), short_drive("tuesday", 0.0)};
  drives[1].gyro = {{0.0, 0.5}, {2.0, 0.5}};
  std::vector<DayConstants> days(2);
  days[1] = {-0.02, 0.001, 0.5, 1.1};
  const JoinedDrives joined = join_drives(drives, days, 1);
  EXPECT_NEAR(joined.drive.scans[6].time_s - joined.parts[1].shift_s, 1.0 - 0.02 + 0.001 * 0.5, 1e-9);
  EXPECT_NEAR(joined.drive.scans[6].returns[1].time_offset_s, 0.11F, 1e-6F);
  // The first scan would begin before the wheels do: it was taken as they began.
  EXPECT_NEAR(joined.drive.scans[4].time_s - joined.parts[1].shift_s, 0.0, 1e-9);
  EXPECT_TRUE(joined.drive.gyro.empty());  // the first drive has none
}

// Both drives turn all the time, so that only robot.yaml can tell the bias.
TEST(JoinedDrives, TheGyroServesWhereEachDaysBiasIsKnown) {
  std::vector<Drive> drives = {short_drive("monday", 0.0), short_drive("tuesday", 0.0)};
  for (Drive& drive : drives) {
    for (WheelCounts& counts : drive.wheels) counts.right_ticks *= 2;
    for (int i = 0; i <= 20; ++i) drive.gyro.push_back({0.1 * i, 0.5});
  }
  const std::vector<DayConstants> days(2);
  EXPECT_TRUE(join_drives(drives, days, 1).drive.gyro.empty());
  drives[0].robot.gyro.bias_rad_s = 0.1;
  EXPECT_TRUE(join_drives(drives, days, 1).drive.gyro.empty());
  drives[1].robot.gyro.bias_rad_s = 0.2;
  const JoinedDrives joined = join_drives(drives, days, 1);
  ASSERT_EQ(joined.drive.gyro.size(), 42U);
  EXPECT_NEAR(joined.drive.gyro[3].yaw_rate_rad_s, 0.4, 1e-12);
  EXPECT_NEAR(joined.drive.gyro[30].yaw_rate_rad_s, 0.3, 1e-12);
}

TEST(JoinedDrives, ScansThatOdometryDoesNotCoverAreLeftOut) {
  std::vector<Drive> drives = {short_drive("monday", 0.0), short_drive("tuesday", 0.0)};
  drives[1].scans.front().time_s = -0.5;
  drives[1].scans.push_back({1.95, {{0.0F, 2.0F, 0.1F}}});
  const JoinedDrives joined = join_drives(drives, std::vector<DayConstants>(2), 1);
  EXPECT_EQ(joined.left_out, (std::vector<int>{0, 2}));
  EXPECT_EQ(joined.own_scan, (std::vector<std::size_t>{0, 1, 2, 3, 1, 2, 3}));
}

TEST(JoinedDrives, HintsMoveWithTheirDrive) {
  std::vector<Drive> drives = {short_drive("monday", 0.0), short_drive("tuesday", 0.0)};
  drives[1].hints = {{0.5, 1.5, true}};
  const JoinedDrives joined = join_drives(drives, std::vector<DayConstants>(2), 1);
  ASSERT_EQ(joined.drive.hints.size(), 1U);
  EXPECT_NEAR(joined.drive.hints[0].time_2_s, joined.drive.scans[7].time_s, 1e-9);
}

TEST(JoinedDrives, FollowedLinesMoveWithTheirDriveAndSurveysAreJoined) {
  std::vector<Drive> drives = {short_drive("monday", 0.0), short_drive("tuesday", 0.0)};
  drives[0].line_map = {{"hall", 0.0, 0.0, 1.0, 0.0}};
  drives[1].line_map = {{"hall", 9.0, 0.0, 1.0, 0.0}, {"door", 0.0, 1.0, 1.0, 1.0}};
  drives[1].followed = {{0.5, 1.5, "hall"}};
  const JoinedDrives joined = join_drives(drives, std::vector<DayConstants>(2), 1);
  ASSERT_EQ(joined.drive.followed.size(), 1U);
  EXPECT_NEAR(joined.drive.followed[0].from_s, 0.5 + joined.parts[1].shift_s, 1e-9);
  EXPECT_NEAR(joined.drive.followed[0].to_s, 1.5 + joined.parts[1].shift_s, 1e-9);
  ASSERT_EQ(joined.drive.line_map.size(), 2U);
  EXPECT_EQ(joined.drive.line_map[0].x1_m, 0.0);  // the earlier drive's stays
  EXPECT_EQ(joined.drive.line_map[1].line, "door");
}

TEST(JoinedDrives, TheDaysConstantsAreReadOffTheNodes) {
  const Drive drive = short_drive("monday", 0.0);
  Map map;
  for (const std::size_t scan : {std::size_t{0}, std::size_t{3}}) {
    Node node;
    node.scan = scan;
    node.time_s = drive.scans[scan].time_s * 1.001 - 0.02;
    map.graph.nodes.push_back(node);
  }
  map.constants = {{"lidar.sweep_s", "s", 0.1, 0.01, 0.105, 0.001, true}};
  const DayConstants day = day_constants(map, drive, 1);
  EXPECT_NEAR(day.time_offset_s, -0.02, 1e-12);
  EXPECT_NEAR(day.clock_rate, 0.001, 1e-9);
  EXPECT_NEAR(day.sweep_scale, 1.05, 1e-12);
}

}  // namespace
}  // namespace wainscot
