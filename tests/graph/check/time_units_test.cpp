#include "graph/check/time_units.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// Twenty seconds: ten scans, fifty rows of wheels and a hundred of the gyro a second, each table in units of its own.
LogReadings log_in(double wheels_s, double scans_s, double gyro_s = 1.0) {
  LogReadings log;
  for (int i = 0; i < 1000; ++i) log.drive.wheels.push_back({0.02 * i / wheels_s, i, i});
  for (int i = 0; i < 2000; ++i) log.drive.gyro.push_back({0.01 * i / gyro_s, 0.1});
  for (int i = 0; i < 200; ++i) {
    log.logged.push_back({(0.05 + 0.1 * i) / scans_s, {{0.0F, 1.0F, 0.0F}, {1.0F, 1.0F, 0.0F}}});
    log.logged.back().returns[1].time_offset_s = static_cast<float>(0.09 / scans_s);
  }
  log.drive.scans = log.logged;
  log.with_16_bits = log.drive;
  log.other_headings = OtherHeadings{1.0, {{5.0 / wheels_s, {}}}, {}};
  return log;
}

TEST(TimeUnits, SecondsStayAsTheyAre) {
  const LogReadings log = log_in(1.0, 1.0);
  EXPECT_TRUE(time_units(log.drive).are_seconds());
  EXPECT_TRUE(time_findings(time_units(log.drive), log.drive).empty());
  EXPECT_TRUE(time_units(Drive{}).are_seconds());
  // Lidars that log a scan every 10 s, or ten minutes while the wheels were logged at first only, and one that ended
  // early.
  Drive slow = log.drive;
  for (std::size_t i = 0; i < slow.scans.size(); ++i) slow.scans[i].time_s = 10.0 * static_cast<double>(i);
  EXPECT_EQ(time_units(slow).scans_s, 1.0);
  for (Scan& scan : slow.scans) scan.time_s *= 60.0;
  EXPECT_EQ(time_units(slow).scans_s, 1.0);
  Drive early = log.drive;
  early.scans.resize(3);
  EXPECT_TRUE(time_units(early).are_seconds());
}

TEST(TimeUnits, EachTableByItself) {
  const struct {
    double wheels_s, scans_s, gyro_s;
  } cases[] = {{1e-3, 1e-3, 1e-3}, {1e-6, 1e-6, 1.0}, {1e-3, 1.0, 1.0}, {1.0, 1e-3, 1.0}, {1e-9, 1e-3, 1e-6}};
  for (const auto& c : cases) {
    const LogReadings log = log_in(c.wheels_s, c.scans_s, c.gyro_s);
    const TimeUnits units = time_units(log.drive);
    EXPECT_EQ(units.motion_s, c.wheels_s);
    EXPECT_EQ(units.scans_s, c.scans_s);
    EXPECT_EQ(units.gyro_s, c.gyro_s);
    const std::vector<Finding> findings = time_findings(units, log.drive);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].fault, Fault::time_unit);
    const LogReadings mended = in_seconds(log, units);
    EXPECT_TRUE(time_units(mended.drive).are_seconds());
    EXPECT_NEAR(mended.drive.wheels.back().time_s, 19.98, 1e-6);
    EXPECT_NEAR(mended.with_16_bits->wheels.back().time_s, 19.98, 1e-6);
    EXPECT_NEAR(mended.other_headings->odometry[0].time_s, 5.0, 1e-9);
    EXPECT_NEAR(mended.drive.gyro.back().time_s, 19.99, 1e-6);
    EXPECT_NEAR(mended.logged.back().time_s, 19.95, 1e-6);
    EXPECT_NEAR(mended.drive.scans[3].returns[1].time_offset_s, 0.09, 1e-6);
  }
}

TEST(TimeUnits, SaysWhatToDivide) {
  const LogReadings log = log_in(1e-3, 1.0);
  const Finding finding = time_findings(time_units(log.drive), log.drive).at(0);
  EXPECT_EQ(finding.what, "the times of wheels.csv are in milliseconds, not in seconds");
  EXPECT_EQ(finding.act, "divide time_s of wheels.csv by 1000");
  EXPECT_EQ(finding.figure, "wheels.csv lasts 19980 s, the scans 19.9 s");
}

// robot.yaml's sweep_s is in seconds, and so are the beams' times that come from it.
TEST(TimeUnits, BeamsTimedByAStatedSweepStay) {
  LogReadings log = log_in(1e-3, 1e-3);
  for (Scan& scan : log.logged) scan.returns[1].time_offset_s = 0.09F;
  EXPECT_NEAR(in_seconds(log, time_units(log.drive)).logged[3].returns[1].time_offset_s, 0.09, 1e-6);
}

}  // namespace
}  // namespace wainscot
