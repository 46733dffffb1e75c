#include "graph/check/log_check.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

/// Once around the ring of four rooms, without defects but noise: simulated once for all cases of a test.
LogReadings sound_log() {
  simulator::Plan plan = ring_house(1);
  plan.defects.range_noise_m = simulator::Knob::fixed(0.01);  // without it two scans at rest are one and the same
  plan.robot.lidar.y_m = 0.09;  // off the middle: a mirrored lidar can be told from exchanged wheels
  LogReadings readings;
  readings.drive = driven(plan).drive;
  readings.logged = readings.drive.scans;
  return readings;
}

LogCheck checked(const LogReadings& readings) {
  LogCheckOptions options;
  options.threads = 1;
  return check_log(readings, options);
}

std::vector<std::string> faults_of(const LogCheck& check) {
  std::vector<std::string> names;
  for (const Finding& finding : check.findings) names.push_back(fault_name(finding.fault));
  return names;
}

using Names = std::vector<std::string>;

/// Changes both readings of the scans.
template <typename Change>
void change_returns(LogReadings& readings, const Change& change) {
  for (std::vector<Scan>* scans : {&readings.drive.scans, &readings.logged}) {
    for (Scan& scan : *scans) {
      for (Return& beam : scan.returns) change(beam);
    }
  }
}

void move_times(LogReadings& readings, double offset_s, double rate) {
  for (std::vector<Scan>* scans : {&readings.drive.scans, &readings.logged}) {
    const double first_s = scans->front().time_s;
    for (Scan& scan : *scans) scan.time_s = first_s + (scan.time_s - first_s) * rate + offset_s;
  }
}

TEST(LogCheck, ASoundLogHasNoFindingsAndItsConstants) {
  const LogReadings log = sound_log();
  const LogCheck check = checked(log);
  EXPECT_EQ(faults_of(check), Names{});
  for (const MeasuredConstant& c : check.constants) {
    EXPECT_NEAR(c.found, c.stated, 5.0 * c.found_sd + 0.02 * std::abs(c.stated) + 0.002) << c.name;
  }
  ASSERT_TRUE(check.contents.scans.steady);
}

TEST(LogCheck, Signs) {
  const LogReadings sound = sound_log();
  LogReadings log = sound;
  for (WheelCounts& row : log.drive.wheels) std::swap(row.left_ticks, row.right_ticks);
  EXPECT_EQ(faults_of(checked(log)), Names{"swapped"});

  log = sound;
  change_returns(log, [](Return& beam) { beam.angle_rad = -beam.angle_rad; });
  const LogCheck mirrored = checked(log);
  EXPECT_EQ(faults_of(mirrored), Names{"mirrored"});
  EXPECT_TRUE(mirrored.mended.lidar.mirrored);

  log = sound;
  log.drive.robot.drive->left_m_per_tick *= -1.0;
  const LogCheck backwards = checked(log);
  EXPECT_EQ(faults_of(backwards), Names{"left_backwards"});
  EXPECT_EQ(backwards.mended.drive->left_m_per_tick, sound.drive.robot.drive->left_m_per_tick);
}

TEST(LogCheck, ConstantsAndMounting) {
  const LogReadings sound = sound_log();
  LogReadings log = sound;
  log.drive.robot.drive->track_width_m *= 1.3;
  const LogCheck width = checked(log);
  EXPECT_EQ(faults_of(width), Names{"track_width"});
  EXPECT_NEAR(width.mended.drive->track_width_m, sound.drive.robot.drive->track_width_m, 0.005);

  log = sound;
  log.drive.robot.lidar.heading_deg += 137.0;
  const LogCheck turned = checked(log);
  EXPECT_EQ(faults_of(turned), Names{"lidar_turned"});
  EXPECT_NEAR(turned.mended.lidar.heading_deg, 0.0, 0.5);

  log = sound;
  log.drive.robot.lidar.x_m += 0.2;
  const LogCheck displaced = checked(log);
  EXPECT_EQ(faults_of(displaced), Names{"lidar_displaced"});
  EXPECT_NEAR(displaced.mended.lidar.x_m, sound.drive.robot.lidar.x_m, 0.005);
}

TEST(LogCheck, Times) {
  const LogReadings sound = sound_log();
  LogReadings log = sound;
  move_times(log, 0.7, 1.0);
  const LogCheck offset = checked(log);
  EXPECT_EQ(faults_of(offset), Names{"clock_offset"});
  EXPECT_NEAR(offset.mended.lidar.time_offset_s, -0.7, 0.01);

  log = sound;
  move_times(log, 0.0, 1.004);
  const LogCheck drift = checked(log);
  EXPECT_EQ(faults_of(drift), Names{"clock_drift"});
  EXPECT_NEAR(drift.mended.lidar.clock_rate, 1.0 / 1.004, 3e-4);
  EXPECT_NEAR(drift.mended.lidar.time_offset_s, 0.0, 0.03);

  log = sound;
  log.drive.robot.lidar.sweep_s = 0.0;
  change_returns(log, [](Return& beam) { beam.time_offset_s = 0.0F; });
  EXPECT_EQ(faults_of(checked(log)), Names{"sweep_time"});
}

TEST(LogCheck, SeveralAtOnceComeGrossOnesFirst) {
  LogReadings log = sound_log();
  change_returns(log, [](Return& beam) { beam.angle_rad = -beam.angle_rad; });
  for (Scan& scan : log.logged) {
    for (Return& beam : scan.returns) beam.range_m *= 1000.0F;
  }
  log.drive.robot.drive->track_width_m *= 0.7;
  const LogCheck check = checked(log);
  EXPECT_EQ(faults_of(check), (Names{"range_unit", "mirrored", "track_width"}));
  EXPECT_EQ(check.mended.lidar.range_unit_m, 0.001);
}

TEST(LogCheck, OneThreadOrFourFindTheSame) {
  LogReadings log = sound_log();
  log.drive.robot.lidar.heading_deg = 20.0;
  LogCheckOptions four;
  four.threads = 4;
  const LogCheck a = checked(log);
  const LogCheck b = check_log(log, four);
  ASSERT_EQ(a.findings.size(), b.findings.size());
  for (std::size_t i = 0; i < a.findings.size(); ++i) EXPECT_EQ(a.findings[i].figure, b.findings[i].figure);
  for (std::size_t i = 0; i < a.constants.size(); ++i) EXPECT_EQ(a.constants[i].found, b.constants[i].found);
}

TEST(LogCheck, WhatCannotTellIsPoorData) {
  LogReadings log = sound_log();
  LogReadings empty = log;
  for (Scan& scan : empty.logged) scan.returns.clear();
  EXPECT_THROW(checked(empty), PoorData);
  LogReadings still = log;
  for (WheelCounts& row : still.drive.wheels) row = {row.time_s, 0, 0};
  for (Scan& scan : still.logged) scan.returns = still.logged.front().returns;
  EXPECT_THROW(checked(still), PoorData);
}

}  // namespace
}  // namespace wainscot
