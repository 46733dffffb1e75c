#include "graph/check/log_course.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "core/angles.hpp"
#include "graph/check/log_check.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

/// 1e-4 m a tick, 0.3 m wide; 50 rows a second that go ahead with 0.2 m/s, the left wheel 10 % faster.
Drive rolling(double seconds) {
  Drive drive;
  drive.robot.drive.emplace();
  drive.robot.drive->left_m_per_tick = drive.robot.drive->right_m_per_tick = 1e-4;
  drive.robot.drive->track_width_m = 0.3;
  for (int i = 0; i <= static_cast<int>(50.0 * seconds); ++i) drive.wheels.push_back({0.02 * i, 44 * i, 40 * i});
  return drive;
}

const NamedSpans& named(const LogCourse& course, const std::string& begin) {
  const auto found = std::find_if(course.holes.begin(), course.holes.end(),
                                  [&begin](const NamedSpans& spans) { return spans.name.rfind(begin, 0) == 0; });
  EXPECT_NE(found, course.holes.end()) << begin;
  return *found;
}

TEST(LogCourse, TheWheelsSpeedIsTheirs) {
  LogCourse course;
  add_rows(rolling(10.0), {}, course);
  EXPECT_DOUBLE_EQ(course.time.begin_s, 0.0);
  EXPECT_DOUBLE_EQ(course.time.end_s, 10.0);
  ASSERT_GT(course.wheels_m_s.value.size(), 40U);
  ASSERT_EQ(course.wheels_m_s.value.size(), course.wheels_m_s.time_s.size());
  for (const double speed : course.wheels_m_s.value) EXPECT_NEAR(speed, 0.21, 1e-6);
  for (const double turn : course.wheels_rad_s.value) EXPECT_NEAR(turn, -0.02 / 0.3, 1e-6);
  for (const NamedSpans& spans : course.holes) EXPECT_TRUE(spans.spans.empty()) << spans.name;
}

TEST(LogCourse, HolesBreaksAndStandingCountersAreStretchesOfTime) {
  Drive drive = rolling(10.0);
  for (std::size_t i = 300; i < drive.wheels.size(); ++i) drive.wheels[i].right_ticks = drive.wheels[300].right_ticks;
  drive.wheels.erase(drive.wheels.begin() + 100, drive.wheels.begin() + 150);
  drive.breaks = {50};
  LogCourse course;
  add_rows(drive, {}, course);
  const NamedSpans& rows = named(course, "no row of the wheels for 0.10 s: 1 time, 1.0 s");
  ASSERT_EQ(rows.spans.size(), 1U);
  EXPECT_NEAR(rows.spans[0].begin_s, 1.98, 1e-9);
  EXPECT_NEAR(rows.spans[0].end_s, 3.0, 1e-9);
  const NamedSpans& breaks = named(course, "a counter restarts or jumps: 1 time, 0.0 s");
  ASSERT_EQ(breaks.spans.size(), 1U);
  EXPECT_NEAR(breaks.spans[0].end_s, 1.0, 1e-9);
  EXPECT_TRUE(named(course, "the left counter stands for 1 s").spans.empty());
  const NamedSpans& right = named(course, "the right counter stands for 1 s");
  ASSERT_EQ(right.spans.size(), 1U);
  EXPECT_NEAR(right.spans[0].begin_s, 6.0, 1e-9);
  EXPECT_NEAR(right.spans[0].end_s, 10.0, 1e-9);
  // What is not known parts the line.
  EXPECT_EQ(std::count_if(course.wheels_m_s.value.begin(), course.wheels_m_s.value.end(),
                          [](double value) { return std::isnan(value); }),
            2);
}

TEST(LogCourse, TheGyroTurnsBySignScaleAndBias) {
  Drive drive;
  drive.robot.gyro.sign = -1;
  drive.robot.gyro.scale = kDegree;
  drive.robot.gyro.bias_rad_s = 0.01;
  for (int i = 0; i <= 500; ++i) drive.gyro.push_back({0.01 * i, -20.0});
  LogCourse course;
  add_rows(drive, {}, course);
  ASSERT_FALSE(course.gyro_rad_s.value.empty());
  for (const double rate : course.gyro_rad_s.value) EXPECT_NEAR(rate, 20.0 * kDegree - 0.01, 1e-9);
}

TEST(LogCourse, ALogOfTwoRowsIsDrawnToo) {
  Drive drive = rolling(0.02);
  LogCourse course;
  add_rows(drive, {}, course);
  EXPECT_NEAR(course.time.end_s, 0.02, 1e-12);
  EXPECT_TRUE(course.wheels_m_s.value.empty());  // two rows are no speed
  EXPECT_TRUE(course.returns.value.empty());
}

/// Means over windows near the same moment.
double usual_difference(const TimedValues& a, const TimedValues& b) {
  std::vector<double> differences;
  for (std::size_t i = 0; i < a.value.size(); ++i) {
    const auto after = std::lower_bound(b.time_s.begin(), b.time_s.end(), a.time_s[i]);
    if (after == b.time_s.end()) continue;
    const double other = b.value[static_cast<std::size_t>(after - b.time_s.begin())];
    if (std::isfinite(a.value[i]) && std::isfinite(other)) differences.push_back(std::abs(a.value[i] - other));
  }
  std::sort(differences.begin(), differences.end());
  return differences.empty() ? 1e9 : differences[differences.size() / 2];
}

// Of a robot without defects wheels and scans say the same, with the scans' noise, and nothing is apart.
TEST(LogCourse, WheelsAndScansOfASoundDriveAgree) {
  simulator::Plan plan = ring_house(1);
  plan.defects.range_noise_m = simulator::Knob::fixed(0.01);
  LogReadings readings;
  readings.drive = driven(plan).drive;
  readings.logged = readings.drive.scans;
  LogCheckOptions options;
  options.threads = 1;
  const LogCourse course = check_log(readings, options).course;
  EXPECT_EQ(course.returns.value.size(), readings.logged.size());
  EXPECT_LT(usual_difference(course.scans_m_s, course.wheels_m_s), 0.03);
  EXPECT_LT(usual_difference(course.scans_rad_s, course.wheels_rad_s), 0.05);
  ASSERT_FALSE(course.apart_m.value.empty());
  for (const double apart : course.apart_m.value) EXPECT_TRUE(std::isnan(apart) || (apart >= 0.0 && apart < 0.06));

  // Without wheels the scans are followed all the same.
  LogReadings alone = readings;
  alone.drive.wheels.clear();
  const LogCourse without = course_without_check(alone, 1);
  EXPECT_TRUE(without.wheels_m_s.value.empty());
  EXPECT_LT(usual_difference(without.scans_m_s, course.wheels_m_s), 0.03);
}

}  // namespace
}  // namespace wainscot
