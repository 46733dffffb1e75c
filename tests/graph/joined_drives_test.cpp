#include "graph/joined_drives.hpp"

#include <functional>
#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "core/odometry.hpp"
#include "graph/mapper.hpp"

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
  EXPECT_TRUE(steps[20].unknown);
  EXPECT_EQ(steps[20].motion, Tangent2::Zero());
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

std::string refusal(const std::function<void(Drive&)>& change) {
  const Drive first = short_drive("monday", 0.0);
  Drive other = short_drive("tuesday", 0.0);
  change(other);
  try {
    require_same_robot(first, other);
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

TEST(JoinedDrives, OneRobotMadeAllDrives) {
  EXPECT_EQ(refusal([](Drive& /*same*/) {}), "");
  EXPECT_EQ(refusal([](Drive& d) { d.robot.drive->left_m_per_tick *= 1.02; }), "");  // 1 % each, where nothing is said
  EXPECT_EQ(refusal([](Drive& d) { d.robot.lidar.time_offset_s = 0.2; }), "");
  const auto names = [](const std::string& text, const char* key) {
    return text.find("tuesday") != std::string::npos && text.find(key) != std::string::npos;
  };
  EXPECT_TRUE(names(refusal([](Drive& d) { d.robot.drive->left_m_per_tick *= -1.0; }), "drive.left_m_per_tick"));
  EXPECT_TRUE(names(refusal([](Drive& d) { d.robot.drive->track_width_m = 0.4; }), "drive.track_width_m"));
  EXPECT_TRUE(names(refusal([](Drive& d) { d.robot.lidar.x_m = 0.2; }), "lidar.x_m"));
  EXPECT_TRUE(names(refusal([](Drive& d) { d.robot.lidar.heading_deg = 90.0; }), "lidar.heading_deg"));
  EXPECT_TRUE(names(refusal([](Drive& d) { d.robot.lidar.max_range_m = 12.0; }), "lidar.max_range_m"));
  EXPECT_TRUE(names(refusal([](Drive& d) {
                      d.odometry = {{0.0, {}}, {1.0, {}}};
                      d.wheels.clear();
                    }),
                    "wheels.csv"));
}

struct Tie {
  std::size_t from;
  std::size_t to;
  Verdict verdict;
  double overlap;
};

/// Two nodes for each of three drives.
std::string not_joined(const std::vector<Tie>& ties) {
  const std::vector<DrivePart> parts = {
      {"monday", 0, 0.0, 0.0, true}, {"tuesday", 10, 0.0, 0.0, false}, {"friday", 20, 0.0, 0.0, false}};
  std::vector<Node> nodes(6);
  for (std::size_t i = 0; i < nodes.size(); ++i) nodes[i].scan = 5 * i;
  std::vector<LoopCandidate> candidates;
  for (const Tie& tie : ties) {
    LoopCandidate candidate;
    candidate.from = tie.from;
    candidate.to = tie.to;
    candidate.verdict = tie.verdict;
    candidate.overlap = tie.overlap;
    candidate.reason = "too few walls coincide";
    candidates.push_back(candidate);
  }
  try {
    require_joined(parts, nodes, candidates);
  } catch (const PoorData& refused) {
    return refused.what();
  }
  return "";
}

TEST(JoinedDrives, EachDriveMustBeTiedToTheFirstIfByAnother) {
  EXPECT_EQ(not_joined({{0, 3, Verdict::accepted, 0.9}, {2, 5, Verdict::accepted, 0.9}}), "");
  EXPECT_EQ(not_joined({{3, 4, Verdict::accepted, 0.9}, {1, 5, Verdict::accepted, 0.9}}), "");
  const std::string tuesday = not_joined({{0, 1, Verdict::accepted, 0.9},
                                          {0, 3, Verdict::rejected, 0.42},
                                          {1, 2, Verdict::rejected, 0.61},
                                          {1, 5, Verdict::accepted, 0.9}});
  EXPECT_EQ(tuesday.rfind("tuesday does not join the map: 2 pairs of places were tried", 0), 0U) << tuesday;
  EXPECT_NE(tuesday.find("61 %"), std::string::npos) << tuesday;
  const std::string friday = not_joined({{0, 3, Verdict::accepted, 0.9}});
  EXPECT_EQ(friday.rfind("friday does not join the map: no place", 0), 0U) << friday;
}

TEST(JoinedDrives, OneDriveNeedsNoTies) { EXPECT_NO_THROW(require_joined({}, std::vector<Node>(3), {})); }

}  // namespace
}  // namespace wainscot
