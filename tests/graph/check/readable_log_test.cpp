#include "graph/check/readable_log.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/graph/made_log.hpp"

namespace wainscot {
namespace {

/// A made drive with scans whose walls change from scan to scan; `per_metre`: how many of the log's units a metre has.
LogReadings readings(double per_metre = 1.0) {
  LogReadings log;
  log.drive = made_log({}).drive;
  for (int i = 0; i < 300; ++i) {
    Scan scan{1.0 + 0.19 * i, {}};
    for (int b = 0; b < 180; ++b) {
      const double range_m = 3.0 + 2.0 * std::sin(0.1 * b + 0.37 * i) * std::cos(0.05 * i);
      const double angle = (2.0 * b - 179.0) * std::numbers::pi / 180.0;
      scan.returns.push_back(
          {static_cast<float>(angle), static_cast<float>(per_metre * range_m), 0.001F * static_cast<float>(b)});
    }
    log.logged.push_back(scan);
  }
  return log;
}

TEST(ReadableLog, ASoundLogIsAsItWasRead) {
  const ReadableLog log = readable_log(readings());
  EXPECT_TRUE(log.diagnosis.findings.empty());
  EXPECT_TRUE(log.counts);
  EXPECT_EQ(log.drive.scans.size(), 300U);
  EXPECT_EQ(log.scans.scans.size(), 300U);
  EXPECT_NEAR(log.scans.turn_s, 0.19, 1e-9);
  EXPECT_EQ(log.contents.returns_per_scan, 180.0);
}

TEST(ReadableLog, MillimetresAreReadAsMetres) {
  const ReadableLog log = readable_log(readings(1000.0));
  ASSERT_EQ(log.diagnosis.findings.size(), 1U);
  EXPECT_EQ(log.diagnosis.findings[0].fault, Fault::range_unit);
  EXPECT_EQ(log.diagnosis.mended.lidar.range_unit_m, 0.001);
  EXPECT_EQ(log.drive.robot.lidar.range_unit_m, 0.001);
  EXPECT_NEAR(log.drive.scans[7].returns[9].range_m, readings().logged[7].returns[9].range_m, 1e-5);
}

TEST(ReadableLog, ADeadCounterLeavesNothingToCompare) {
  LogReadings log = readings();
  for (WheelCounts& row : log.drive.wheels) row.right_ticks = 5;
  EXPECT_FALSE(readable_log(log).counts);
}

TEST(ReadableLog, CountersOf16BitsAreReadAsSuch) {
  LogReadings log = readings();
  Drive narrow = log.drive;
  narrow.robot.drive->counter_bits = 16;
  narrow.wheels.back().left_ticks += 3;
  log.drive.breaks = {4000, 8000};
  log.with_16_bits = narrow;
  const ReadableLog read = readable_log(log);
  EXPECT_EQ(read.drive.robot.drive->counter_bits, 16);
  EXPECT_EQ(read.drive.wheels.back().left_ticks, narrow.wheels.back().left_ticks);
  EXPECT_TRUE(read.drive.breaks.empty());
}

TEST(ReadableLog, WhatCannotTellIsPoorData) {
  LogReadings empty = readings();
  for (Scan& scan : empty.logged) scan.returns.clear();
  EXPECT_THROW(readable_log(empty), PoorData);
  LogReadings still = readings();
  still.drive.wheels.clear();
  EXPECT_THROW(readable_log(still), PoorData);
}

}  // namespace
}  // namespace wainscot
