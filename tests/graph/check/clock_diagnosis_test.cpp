#include "graph/check/clock_diagnosis.hpp"

#include <random>

#include <gtest/gtest.h>

#include "tests/graph/made_log.hpp"

namespace wainscot {
namespace {

ClockDiagnosis judged(const MadeLog& log, bool counts = true) {
  LidarMotion motion;
  motion.steps = log.steps;
  return clock_diagnosis(fit_clock(motion.steps, WheelSeries(log.drive)), motion, log.drive, counts, 2.0);
}

TEST(ClockDiagnosis, ClocksThatAgreeAreTold) {
  const ClockDiagnosis found = judged(made_log({}));
  EXPECT_TRUE(found.related);
  EXPECT_TRUE(found.diagnosis.findings.empty());
  ASSERT_EQ(found.diagnosis.constants.size(), 1U);
  EXPECT_EQ(found.diagnosis.constants[0].name, "lidar.time_offset_s");
  EXPECT_NEAR(found.diagnosis.constants[0].found, 0.0, 0.002);
}

TEST(ClockDiagnosis, AnOffsetIsMended) {
  MadeRobot robot;
  robot.lidar_late_s = 0.7;
  const ClockDiagnosis found = judged(made_log(robot));
  ASSERT_EQ(found.diagnosis.findings.size(), 1U);
  EXPECT_EQ(found.diagnosis.findings[0].fault, Fault::clock_offset);
  EXPECT_NEAR(found.diagnosis.mended.lidar.time_offset_s, -0.7, 0.005);
  EXPECT_TRUE(found.related);
}

TEST(ClockDiagnosis, ADriftIsMendedFromTheFirstScanOn) {
  MadeRobot robot;
  robot.lidar_drift = 0.004;
  const ClockDiagnosis found = judged(made_log(robot));
  ASSERT_EQ(found.diagnosis.findings.size(), 1U);
  EXPECT_EQ(found.diagnosis.findings[0].fault, Fault::clock_drift);
  EXPECT_NEAR(found.diagnosis.mended.lidar.clock_rate, 1.0 / 1.004, 2e-4);
  EXPECT_NEAR(found.diagnosis.mended.lidar.time_offset_s, 0.004 * 28.0, 0.01);  // 28 s before the middle
}

TEST(ClockDiagnosis, WheelsOfAnotherDriveAreUnrelated) {
  MadeLog log = made_log({});
  // Turns at random: a shift could explain periodic ones, the way driven could explain many of one size.
  std::mt19937_64 random(7);
  std::normal_distribution<double> normal;
  double turn = 0.0;
  for (LidarStride& step : log.steps) {
    turn = 0.8 * turn + 0.06 * normal(random);
    step.motion.heading_rad = turn;
  }
  const ClockDiagnosis found = judged(log);
  EXPECT_FALSE(found.related);
  ASSERT_EQ(found.diagnosis.findings.size(), 1U);
  EXPECT_EQ(found.diagnosis.findings[0].fault, Fault::unrelated);
  // Not so where many scans fit none: the others may be as wrong.
  for (std::size_t i = 0; i < log.steps.size(); i += 3) log.steps[i].sure = false;
  const ClockDiagnosis untrusted = judged(log);
  EXPECT_FALSE(untrusted.related);
  EXPECT_TRUE(untrusted.diagnosis.findings.empty());
}

TEST(ClockDiagnosis, ADriveWithoutTurnsOrACounterThatIsDeadLeavesClocksOpen) {
  MadeLog straight = made_log({});
  for (LidarStride& step : straight.steps) step.motion.heading_rad = 0.0;
  const ClockDiagnosis found = judged(straight);
  EXPECT_FALSE(found.related);
  EXPECT_EQ(found.diagnosis.notes.size(), 1U);
  const ClockDiagnosis dead = judged(made_log({}), false);
  EXPECT_FALSE(dead.related);
  EXPECT_TRUE(dead.diagnosis.notes.empty());
  EXPECT_TRUE(dead.diagnosis.findings.empty());
  EXPECT_TRUE(dead.diagnosis.constants.empty());
}

}  // namespace
}  // namespace wainscot
