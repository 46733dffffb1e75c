#include "graph/check/log_contents.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "tests/graph/made_log.hpp"

namespace wainscot {
namespace {

/// A made log with scans ten times a second, all different.
Drive with_scans() {
  Drive drive = made_log({}).drive;
  for (int i = 0; i < 500; ++i) {
    Scan scan{1.0 + 0.1 * i, {}};
    for (int b = 0; b < 30; ++b) {
      scan.returns.push_back(
          {0.2F * static_cast<float>(b) - 3.0F, 1.0F + 0.001F * static_cast<float>(i * b % 997), 0.0F});
    }
    drive.scans.push_back(scan);
  }
  return drive;
}

std::vector<Finding> findings_of(const Drive& drive, const Drive* narrow = nullptr) {
  return log_findings(drive, log_contents(drive), narrow);
}

TEST(LogContents, SaysWhatIsThere) {
  const LogContents contents = log_contents(with_scans());
  EXPECT_NEAR(contents.duration_s, 60.0, 0.01);
  EXPECT_NEAR(contents.way_m, 18.0, 0.7);  // 0.3 m/s
  EXPECT_NEAR(contents.motion.interval_s, 0.005, 1e-9);
  EXPECT_NEAR(contents.scans.interval_s, 0.1, 1e-9);
  EXPECT_EQ(contents.returns_per_scan, 30.0);
  EXPECT_EQ(contents.scans.lost, 0U);
  EXPECT_TRUE(contents.scans.steady);
}

TEST(LogContents, ASoundLogHasNoFindings) { EXPECT_TRUE(findings_of(with_scans()).empty()); }

TEST(LogContents, LostScans) {
  Drive drive = with_scans();
  std::vector<Scan> kept;
  for (std::size_t i = 0; i < drive.scans.size(); ++i) {
    if (i % 10 != 3) kept.push_back(drive.scans[i]);
  }
  drive.scans = kept;
  const auto findings = findings_of(drive);
  ASSERT_EQ(findings.size(), 1U);
  EXPECT_EQ(findings[0].fault, Fault::lost_scans);
  EXPECT_EQ(log_contents(drive).scans.lost, 50U);
}

TEST(LogContents, RowsThatComeAsTheyComeAreNotLost) {
  Drive drive = with_scans();
  double time_s = 1.0;
  for (std::size_t i = 0; i < drive.scans.size(); ++i) {
    drive.scans[i].time_s = time_s;
    time_s += i % 3 == 2 ? 0.16 : 0.1;  // 1.6 intervals
  }
  EXPECT_EQ(log_contents(drive).scans.lost, 0U);
  EXPECT_TRUE(findings_of(drive).empty());
}

TEST(LogContents, ALogThatLeavesOutThreeRowsEachTimeHasLostNone) {
  Drive drive = with_scans();
  double time_s = 1.0;
  for (std::size_t i = 0; i < drive.scans.size(); ++i) {
    drive.scans[i].time_s = time_s;
    time_s += i % 10 == 9 ? 0.4 : 0.1;
  }
  EXPECT_EQ(log_contents(drive).scans.lost, 0U);
  for (std::size_t i = 255; i < drive.scans.size(); ++i) drive.scans[i].time_s += 3.0;
  EXPECT_EQ(log_contents(drive).scans.lost, 30U);  // a pause is one all the same
}

TEST(LogContents, AScanEveryMetreKeepsNoPace) {
  Drive drive = with_scans();
  std::vector<Scan> kept;
  for (const Scan& scan : drive.scans) {
    const auto tenth = static_cast<int>(std::lround(10.0 * scan.time_s));
    if (tenth % 20 == 0 && tenth % 100 != 0) kept.push_back(scan);  // 0.6 m apart, one in five missing
  }
  drive.scans = kept;
  EXPECT_GT(way_between_scans_m(drive), 0.5);
  EXPECT_TRUE(are_far_apart(way_between_scans_m(drive)));
  EXPECT_FALSE(are_far_apart(way_between_scans_m(with_scans())));
  EXPECT_TRUE(findings_of(drive).empty());
}

TEST(LogContents, AFewLostScansAreUsual) {
  Drive drive = with_scans();
  for (const int at : {400, 300, 200, 100}) drive.scans.erase(drive.scans.begin() + at);
  EXPECT_TRUE(findings_of(drive).empty());
}

TEST(LogContents, DoubledScans) {
  Drive drive = with_scans();
  for (std::size_t i = 10; i < drive.scans.size(); i += 20) drive.scans[i].returns = drive.scans[i - 1].returns;
  const auto findings = findings_of(drive);
  ASSERT_EQ(findings.size(), 1U);
  EXPECT_EQ(findings[0].fault, Fault::doubled_scans);
}

TEST(LogContents, DoubledAndLostRows) {
  Drive doubled = with_scans();
  for (WheelCounts& row : doubled.wheels) {
    row.left_ticks *= 10;  // 0.1 mm a tick would be coarse for 200 rows a second
    row.right_ticks *= 10;
  }
  Drive lost = doubled;
  for (std::size_t i = 5; i < doubled.wheels.size(); i += 9) {
    doubled.wheels[i].left_ticks = doubled.wheels[i - 1].left_ticks;
    doubled.wheels[i].right_ticks = doubled.wheels[i - 1].right_ticks;
  }
  ASSERT_EQ(findings_of(doubled).size(), 1U);
  EXPECT_EQ(findings_of(doubled)[0].fault, Fault::doubled_wheel_rows);
  std::erase_if(lost.wheels, [](const WheelCounts& row) { return std::lround(row.time_s / 0.005) % 9 == 4; });
  ASSERT_EQ(findings_of(lost).size(), 1U);
  EXPECT_EQ(findings_of(lost)[0].fault, Fault::lost_wheel_rows);
}

TEST(LogContents, ACounterThatNeverCounts) {
  Drive drive = with_scans();
  for (WheelCounts& row : drive.wheels) row.right_ticks = 77;
  const auto findings = findings_of(drive);
  ASSERT_EQ(findings.size(), 1U);
  EXPECT_EQ(findings[0].fault, Fault::dead_counter);
  EXPECT_NE(findings[0].what.find("right"), std::string::npos);
}

TEST(LogContents, ACounterThatWraps) {
  Drive drive = with_scans();
  Drive narrow = drive;
  narrow.robot.drive->counter_bits = 16;
  drive.breaks = {4000, 8000};
  const auto findings = findings_of(drive, &narrow);
  ASSERT_EQ(findings.size(), 1U);
  EXPECT_EQ(findings[0].fault, Fault::counter_wraps);
  EXPECT_EQ(findings[0].lines, std::vector<std::string>{"drive.counter_bits: 16"});
  narrow.breaks = drive.breaks;  // a restart looks the same with both widths
  EXPECT_TRUE(findings_of(drive, &narrow).empty());
}

}  // namespace
}  // namespace wainscot
