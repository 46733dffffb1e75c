#include "apps/mapping/first_look.hpp"

#include <cmath>
#include <utility>

#include <gtest/gtest.h>

#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

LogReadings sound_log() {
  simulator::Plan plan = ring_house(1);
  plan.defects.range_noise_m = simulator::Knob::fixed(0.01);
  plan.robot.lidar.y_m = 0.09;  // off the middle: a mirrored lidar can be told from exchanged wheels
  LogReadings readings;
  readings.drive = driven(plan).drive;
  readings.logged = readings.drive.scans;
  return readings;
}

FirstLook look_at(const LogReadings& readings) {
  return first_look(
      readings.drive, [&readings] { return readings; }, 1);
}

template <typename Change>
LogReadings with_scans(LogReadings readings, const Change& change) {
  for (std::vector<Scan>* scans : {&readings.drive.scans, &readings.logged}) {
    for (Scan& scan : *scans) change(scan);
  }
  return readings;
}

void expect_spoiling(const LogReadings& readings, const std::string& part) {
  const FirstLook look = look_at(readings);
  ASSERT_FALSE(look.spoiling.empty()) << part;
  EXPECT_NE(look.spoiling.front().find(part), std::string::npos) << look.spoiling.front();
  EXPECT_EQ(look.start, std::nullopt);
  EXPECT_TRUE(look.notes.empty());
}

TEST(FirstLook, ASoundDriveIsMappedAsItIs) {
  const FirstLook look = look_at(sound_log());
  EXPECT_TRUE(look.spoiling.empty());
  EXPECT_TRUE(look.notes.empty());
  EXPECT_EQ(look.start, std::nullopt);
}

TEST(FirstLook, WhatNoRefinementRepairsIsNamedWithItsLine) {
  const LogReadings sound = sound_log();
  expect_spoiling(with_scans(sound,
                             [](Scan& scan) {
                               for (Return& beam : scan.returns) beam.angle_rad = -beam.angle_rad;
                             }),
                  "robot.yaml needs lidar.mirrored: true");
  LogReadings swapped = sound;
  for (WheelCounts& row : swapped.drive.wheels) std::swap(row.left_ticks, row.right_ticks);
  expect_spoiling(swapped, "exchange the headings left_ticks and right_ticks");
  LogReadings backwards = sound;
  for (WheelCounts& row : backwards.drive.wheels) row.left_ticks = -row.left_ticks;
  expect_spoiling(backwards, "robot.yaml needs drive.left_m_per_tick: -");
  LogReadings stops = sound;
  std::vector<WheelCounts>& rows = stops.drive.wheels;
  for (std::size_t i = rows.size() / 2; i < rows.size(); ++i) rows[i].left_ticks = rows[rows.size() / 2].left_ticks;
  expect_spoiling(stops, "the left counter stops counting");
  for (WheelCounts& row : rows) row.left_ticks = 0;
  expect_spoiling(stops, "the left counter does not count");
  LogReadings turned = sound;
  turned.drive.robot.lidar.heading_deg = 40.0;
  expect_spoiling(turned, "robot.yaml needs lidar.heading_deg: ");
  LogReadings milliseconds = sound;
  for (WheelCounts& row : milliseconds.drive.wheels) row.time_s *= 1000.0;
  expect_spoiling(milliseconds, "wheels.csv are in milliseconds");
  LogReadings unit = sound;
  for (Scan& scan : unit.logged) {
    for (Return& beam : scan.returns) beam.range_m *= 1000.0F;
  }
  for (Scan& scan : unit.drive.scans) {
    for (Return& beam : scan.returns) beam.range_m = 8.0F;
  }
  expect_spoiling(unit, "robot.yaml needs lidar.range_unit_m: 0.001");
}

TEST(FirstLook, WhatTheMappingRefinesIsWhereItBegins) {
  LogReadings log = with_scans(sound_log(), [](Scan& scan) { scan.time_s += 0.5; });
  log.drive.robot.lidar.heading_deg = 12.0;
  const FirstLook look = look_at(log);
  EXPECT_TRUE(look.spoiling.empty());
  ASSERT_TRUE(look.start);
  EXPECT_NEAR(look.start->lidar.time_offset_s, -0.5, 0.02);
  EXPECT_NEAR(look.start->lidar.heading_deg, 0.0, 1.0);
  EXPECT_EQ(look.start->lidar.x_m, log.drive.robot.lidar.x_m);
  ASSERT_EQ(look.notes.size(), 2U);
  EXPECT_NE(look.notes[0].find("the mapping began with lidar.time_offset_s: -0."), std::string::npos) << look.notes[0];
}

TEST(FirstLook, ADriveThatTellsTooLittleHasNoFault) {
  LogReadings log = sound_log();
  log.drive.scans.resize(4);
  log.logged.resize(4);
  EXPECT_TRUE(look_at(log).spoiling.empty());
  EXPECT_TRUE(look_at({}).spoiling.empty());
}

/// Standing for a quarter of an hour first leaves it the same minutes to look at.
TEST(FirstLook, BeginsWhereTheRobotFirstMoves) {
  LogReadings log = sound_log();
  for (WheelCounts& row : log.drive.wheels) row.left_ticks = -row.left_ticks;
  for (WheelCounts& row : log.drive.wheels) row.time_s += 900.0;
  log.drive.wheels.insert(log.drive.wheels.begin(),
                          {0.0, log.drive.wheels.front().left_ticks, log.drive.wheels.front().right_ticks});
  const Scan first = log.drive.scans.front();
  log = with_scans(std::move(log), [](Scan& scan) { scan.time_s += 900.0; });
  for (std::vector<Scan>* scans : {&log.drive.scans, &log.logged}) {
    std::vector<Scan> standing;
    for (int i = 0; i < 6000; ++i) standing.push_back({0.14 * i, first.returns});
    scans->insert(scans->begin(), standing.begin(), standing.end());
  }
  expect_spoiling(log, "the left wheel counts the other way");
}

}  // namespace
}  // namespace wainscot
