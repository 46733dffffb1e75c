#include "graph/motion/usable_drive.hpp"

#include <gtest/gtest.h>

#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

TEST(UsableDrive, AGoodRecordingStaysAsItIs) {
  const DrivenHouse house = driven(ring_house(1));
  const Drive drive = usable_drive(house.drive);
  EXPECT_EQ(drive.warnings, house.drive.warnings);
  EXPECT_EQ(drive.wheels.size(), house.drive.wheels.size());
  EXPECT_EQ(drive.robot.lidar.noise_m, house.drive.robot.lidar.noise_m);
}

TEST(UsableDrive, BothNoiseAndMotionAreTakenFromTheScansWhereTheyHaveToBe) {
  simulator::Plan plan = ring_house(1);
  plan.defects.range_noise_m = simulator::Knob::fixed(0.01);
  Drive drive = driven(plan).drive;
  drive.wheels.clear();
  drive.robot.lidar.noise_m = 0.08;
  const std::size_t before = drive.warnings.size();
  drive = usable_drive(drive);
  EXPECT_EQ(drive.warnings.size(), before + 2);
  EXPECT_FALSE(drive.odometry.empty());
  EXPECT_LT(drive.robot.lidar.noise_m, 0.05);
}

}  // namespace
}  // namespace wainscot
