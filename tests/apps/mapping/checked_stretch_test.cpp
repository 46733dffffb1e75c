#include "apps/mapping/checked_stretch.hpp"

#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"

namespace wainscot {
namespace {

/// Ten scans and fifty rows of wheels a second, from `begin_s` on.
void log_on(double begin_s, int scans, LogReadings& readings, std::size_t beams = 30) {
  Drive& drive = readings.drive;
  for (int i = 0; i < 5 * scans; ++i) drive.wheels.push_back({begin_s + 0.02 * i, i, i});
  for (int i = 0; i < scans; ++i) {
    Scan scan{begin_s + 0.1 * i, std::vector<Return>(beams)};
    for (std::size_t k = 0; k < beams; ++k) scan.returns[k].range_m = static_cast<float>(k);
    drive.scans.push_back(scan);
    readings.logged.push_back(scan);
  }
}

TEST(CheckedStretch, ASteadyLogIsCheckedWhole) {
  LogReadings readings;
  log_on(100.0, 600, readings);
  const CheckedStretch checked = checked_stretch(readings);
  EXPECT_TRUE(checked.findings.empty());
  EXPECT_TRUE(checked.notes.empty());
  EXPECT_EQ(checked.readings.drive.wheels.size(), 3000U);
  EXPECT_EQ(checked.readings.logged.size(), 600U);
  EXPECT_EQ(checked.readings.logged[0].returns.size(), 30U);
}

// The check went through the gap in steps of half a second, or ended for want of memory.
TEST(CheckedStretch, AJumpOfTheTimesIsFoundAndTheLongestStretchChecked) {
  LogReadings readings;
  log_on(0.0, 20, readings);
  log_on(1000.0, 50, readings);
  log_on(1.7e9, 30, readings);
  readings.drive.breaks = {3, 100, 105, 349, 350};
  readings.drive.gyro = {{0.5, 0.0}, {1001.0, 0.0}};
  readings.with_16_bits = readings.drive;
  readings.other_headings = OtherHeadings{1.0, {{0.5, {}}, {1001.0, {}}, {1002.0, {}}}, {1, 2}};
  const CheckedStretch checked = checked_stretch(readings);
  ASSERT_EQ(checked.findings.size(), 1U);
  const Finding& jump = checked.findings[0];
  EXPECT_EQ(jump.what.rfind("the log's times jump: for 472221 h ", 0), 0U) << jump.what;
  EXPECT_EQ(jump.figure,
            "2 jumps over a minute, the longest from 1004.980 s to 1700000000.000 s; checked was from 1000.000 s to "
            "1004.980 s, 50 scans");
  EXPECT_NEAR(jump.time_s.value_or(0.0), 1004.98, 1e-9);
  for (const Drive* drive : {&checked.readings.drive, &*checked.readings.with_16_bits}) {
    EXPECT_EQ(drive->wheels.size(), 250U);
    EXPECT_EQ(drive->wheels.front().time_s, 1000.0);
    EXPECT_EQ(drive->scans.size(), 50U);
    EXPECT_EQ(drive->gyro.size(), 1U);
    EXPECT_EQ(drive->breaks, (std::vector<std::size_t>{5, 249}));  // the first row follows nothing
  }
  EXPECT_EQ(checked.readings.logged.size(), 50U);
  EXPECT_EQ(checked.readings.other_headings->odometry.size(), 2U);
  EXPECT_EQ(checked.readings.other_headings->breaks, std::vector<std::size_t>{1});
}

TEST(CheckedStretch, APauseOfOneTableAloneIsNoJump) {
  LogReadings readings;
  log_on(0.0, 100, readings);
  for (int i = 0; i < 100; ++i) readings.drive.wheels.push_back({10.0 + i, 500, 500});
  EXPECT_TRUE(checked_stretch(readings).findings.empty());
}

TEST(CheckedStretch, AnHourIsEnough) {
  LogReadings readings;
  log_on(0.0, 40'000, readings, 1);
  const CheckedStretch checked = checked_stretch(readings);
  EXPECT_EQ(checked.notes, (std::vector<std::string>{"Of 1 h 06 min the first hour was checked"}));
  EXPECT_NEAR(static_cast<double>(checked.readings.drive.scans.size()), 36'001.0, 1.0);
  EXPECT_LE(checked.readings.drive.wheels.back().time_s, 3600.0);
}

TEST(CheckedStretch, OfVeryManyBeamsSomeAreEnough) {
  LogReadings readings;
  log_on(0.0, 10, readings, 100'000);
  const CheckedStretch checked = checked_stretch(readings);
  EXPECT_EQ(checked.notes,
            (std::vector<std::string>{"A scan has up to 100,000 beams; of every scan 4,000 at most were looked at"}));
  for (const std::vector<Scan>* scans : {&checked.readings.drive.scans, &checked.readings.logged}) {
    ASSERT_EQ((*scans)[9].returns.size(), 4000U);
    EXPECT_EQ((*scans)[9].returns[2].range_m, 50.0F);
  }
}

TEST(CheckedStretch, SaysWhatNoCheckCanBeMadeOf) {
  const auto said = [](const LogReadings& readings) {
    try {
      checked_stretch(readings);
    } catch (const PoorData& error) {
      return std::string("poor: ") + error.what();
    }
    return std::string();
  };
  LogReadings readings;
  log_on(0.0, 2, readings);
  EXPECT_EQ(said(readings), "poor: the log has 2 scans, and a check needs 8 at least; record a longer drive");
  log_on(1000.0, 7, readings);
  EXPECT_EQ(said(readings), "poor: the log has 7 scans, and a check needs 8 at least; record a longer drive");
  LogReadings standing;
  log_on(0.0, 100, standing);
  for (Scan& scan : standing.logged) scan.time_s = 1.0;
  EXPECT_EQ(said(standing).rfind("poor: most scans have the time of the one before", 0), 0U);
}

}  // namespace
}  // namespace wainscot
