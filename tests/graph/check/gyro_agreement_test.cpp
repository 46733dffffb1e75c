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
  EXPECT_TRUE(gyro_agreement(same.steps, same.drive, {}).value().same_way());
  const MadeLog other = with_gyro(-0.9);
  EXPECT_FALSE(gyro_agreement(other.steps, other.drive, {}).value().same_way());
}

TEST(GyroAgreement, TheStatedSignCounts) {
  MadeLog log = with_gyro(-1.0);
  log.drive.robot.gyro.sign = -1;
  EXPECT_TRUE(gyro_agreement(log.steps, log.drive, {}).value().same_way());
}

TEST(GyroAgreement, TheFactorAndNotTheBias) {
  MadeLog log = with_gyro(57.2958);
  for (YawRate& row : log.drive.gyro) row.yaw_rate_rad_s += 20.0;  // degrees a second: a bias as large as the turns
  const GyroAgreement found = gyro_agreement(log.steps, log.drive, {}).value();
  EXPECT_NEAR(found.factor, 1.0 / 57.2958, 2e-4);
  EXPECT_LT(found.factor_sd, 2e-4);
  log.drive.robot.gyro.scale = 1.0 / 57.2958;
  EXPECT_NEAR(gyro_agreement(log.steps, log.drive, {}).value().factor, 1.0, 0.01);
}

TEST(GyroAgreement, ADeadOrMissingGyroDoesNotTell) {
  MadeLog log = with_gyro(1.0);
  for (std::size_t i = 0; i < log.drive.gyro.size(); ++i) log.drive.gyro[i].yaw_rate_rad_s = i % 2 == 0 ? 0.02 : -0.02;
  EXPECT_FALSE(gyro_agreement(log.steps, log.drive, {}).has_value());
  log.drive.gyro.clear();
  EXPECT_FALSE(gyro_agreement(log.steps, log.drive, {}).has_value());
}

TEST(GyroAgreement, StridesThatAreNotSureHaveNoSay) {
  MadeLog log = with_gyro(1.0);
  for (LidarStride& step : log.steps) {
    if (step.begin_s < 30.0) continue;
    step.motion.heading_rad = -5.0 * step.motion.heading_rad;
    step.sure = false;
  }
  EXPECT_TRUE(gyro_agreement(log.steps, log.drive, {}).value().same_way());
}

}  // namespace
}  // namespace wainscot
