#include "graph/calibrate/mapped_calibration.hpp"

#include <numbers>

#include <gtest/gtest.h>

#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

DriveCalibration by_increments() {
  DriveCalibration found;
  found.found << 1e-4, 1e-4, 0.3, 0.10, 0.02, 0.01, 0.04;
  found.covariance.diagonal() << 1e-14, 1e-14, 1e-6, 1e-4, 1e-4, 1e-4, 1e-6;
  found.covariance(kLidarX, kTrackWidth) = found.covariance(kTrackWidth, kLidarX) = 1e-6;
  found.observed.fill(true);
  return found;
}

MappedCalibration by_map() {
  MappedCalibration mapped;
  mapped.trustworthy = true;
  mapped.calibration = by_increments();
  mapped.calibration.found << 1.1e-4, 1.1e-4, 0.31, 0.11, 0.03, 0.012, 0.05;
  mapped.calibration.covariance.diagonal() << 1e-14, 1e-14, 1e-6, 1e-6, 1e-6, 1e-6, 1e-6;
  return mapped;
}

TEST(MappedCalibration, GivesTheMountingOnly) {
  const DriveCalibration both = with_mounting_of(by_map(), by_increments());
  EXPECT_EQ(both.found[kLidarX], 0.11);
  EXPECT_EQ(both.found[kLidarY], 0.03);
  EXPECT_EQ(both.found[kLidarHeading], 0.012);
  EXPECT_EQ(both.covariance(kLidarX, kLidarX), 1e-6);
  EXPECT_EQ(both.covariance(kLidarX, kTrackWidth), 0.0);
  EXPECT_EQ(both.found[kTrackWidth], 0.3);
  EXPECT_EQ(both.found[kClockOffset], 0.04);
}

TEST(MappedCalibration, AMapThatIsNotToBeTrustedHasNoSay) {
  MappedCalibration mapped = by_map();
  mapped.trustworthy = false;
  EXPECT_EQ(with_mounting_of(mapped, by_increments()).found, by_increments().found);
}

TEST(MappedCalibration, AContradictionLeavesAllAsTheIncrementsSay) {
  MappedCalibration mapped = by_map();
  mapped.calibration.found[kLidarHeading] = 0.01 + 0.06;  // six standard deviations
  EXPECT_EQ(with_mounting_of(mapped, by_increments()).found, by_increments().found);
  mapped.calibration.found[kLidarHeading] = 0.01 + 2.0 * std::numbers::pi;  // a whole turn is none
  EXPECT_EQ(with_mounting_of(mapped, by_increments()).found[kLidarX], 0.11);
}

TEST(MappedCalibration, TheMapOfASimulatedHouseFindsTheMounting) {
  simulator::Plan plan = ring_house(1);
  plan.defects.range_noise_m = simulator::Knob::fixed(0.01);
  const DrivenHouse house = driven(plan);
  DriveCalibration near;
  const Robot& robot = house.drive.robot;
  near.found << robot.drive->left_m_per_tick, robot.drive->right_m_per_tick, robot.drive->track_width_m,
      robot.lidar.x_m + 0.01, robot.lidar.y_m - 0.01, 0.01, 0.0;
  near.observed.fill(true);
  const MappedCalibration mapped = refine_by_mapping(house.drive, near, 1);
  EXPECT_TRUE(mapped.trustworthy);
  EXPECT_GT(mapped.matched_fraction, 0.8);
  EXPECT_NEAR(mapped.calibration.found[kLidarX], house.truth.lidar.x_m, 0.003);
  EXPECT_NEAR(mapped.calibration.found[kLidarY], house.truth.lidar.y_m, 0.003);
  EXPECT_NEAR(mapped.calibration.found[kLidarHeading], house.truth.lidar.heading_rad, 0.002);
  EXPECT_LT(mapped.calibration.sd(kLidarHeading), 0.002);
}

}  // namespace
}  // namespace wainscot
