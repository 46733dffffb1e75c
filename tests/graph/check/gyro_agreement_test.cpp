#include "graph/check/gyro_agreement.hpp"

#include <gtest/gtest.h>

#include "tests/graph/made_log.hpp"

namespace wainscot {
namespace {

/// The made drive with a gyro that turns `factor` times as the robot does.
MadeLog with_gyro(double factor) {
  MadeLog log = made_log({});
  for (std::size_t i = 0; i + 1 < log.drive.wheels.size(); ++i) {
    const WheelCounts& a = log.drive.wheels[i];
    const WheelCounts& b = log.drive.wheels[i + 1];
    const double turn =
        1e-4 * static_cast<double>((b.right_ticks - a.right_ticks) - (b.left_ticks - a.left_ticks)) / 0.3;
    log.drive.gyro.push_back({a.time_s, factor * turn / (b.time_s - a.time_s)});
  }
  return log;
}

TEST(GyroAgreement, SaysWhichWayItTurns) {
  const MadeLog same = with_gyro(1.0);
  EXPECT_EQ(gyro_agreement(same.steps, same.drive, {}), true);
  const MadeLog other = with_gyro(-0.9);
  EXPECT_EQ(gyro_agreement(other.steps, other.drive, {}), false);
}

TEST(GyroAgreement, TheStatedSignCounts) {
  MadeLog log = with_gyro(-1.0);
  log.drive.robot.gyro.sign = -1;
  EXPECT_EQ(gyro_agreement(log.steps, log.drive, {}), true);
}

TEST(GyroAgreement, ADeadOrMissingGyroDoesNotTell) {
  MadeLog log = with_gyro(1.0);
  for (std::size_t i = 0; i < log.drive.gyro.size(); ++i) log.drive.gyro[i].yaw_rate_rad_s = i % 2 == 0 ? 0.02 : -0.02;
  EXPECT_EQ(gyro_agreement(log.steps, log.drive, {}), std::nullopt);
  log.drive.gyro.clear();
  EXPECT_EQ(gyro_agreement(log.steps, log.drive, {}), std::nullopt);
}

TEST(GyroAgreement, StridesThatAreNotSureHaveNoSay) {
  MadeLog log = with_gyro(1.0);
  for (LidarStride& step : log.steps) {
    if (step.begin_s < 30.0) continue;
    step.motion.heading_rad = -5.0 * step.motion.heading_rad;
    step.sure = false;
  }
  EXPECT_EQ(gyro_agreement(log.steps, log.drive, {}), true);
}

}  // namespace
}  // namespace wainscot
