#include "graph/check/found_readings.hpp"

#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

LogReadings left_out_log() {
  simulator::Plan plan = ring_house(1);
  plan.defects.range_noise_m = simulator::Knob::fixed(0.01);
  LogReadings readings;
  readings.drive = driven(plan).drive;
  Robot& robot = readings.drive.robot;
  robot.drive->left_m_per_tick = robot.drive->right_m_per_tick = 3e-4;
  robot.left_out = {true, true, true, false};
  readings.logged = readings.drive.scans;
  return readings;
}

TEST(FoundReadings, BothReadingsOfTheScansFollowTheRobotThatIsFound) {
  LogReadings readings = left_out_log();
  for (std::vector<Scan>* scans : {&readings.drive.scans, &readings.logged}) {
    for (Scan& scan : *scans) {
      scan.time_s += 0.6;
      for (Return& beam : scan.returns) beam.angle_rad = -beam.angle_rad;
    }
  }
  find_robot(readings);
  EXPECT_TRUE(readings.drive.robot.left_out.found);
  EXPECT_TRUE(readings.drive.robot.lidar.mirrored);
  ASSERT_EQ(readings.logged.size(), readings.drive.scans.size());
  EXPECT_NEAR(readings.drive.robot.lidar.time_offset_s, -0.6, 0.03);
  EXPECT_DOUBLE_EQ(readings.logged[7].time_s, readings.drive.scans[7].time_s);
  EXPECT_EQ(readings.logged[7].returns[9].angle_rad, readings.drive.scans[7].returns[9].angle_rad);
}

TEST(FoundReadings, ACheckIsToldWhatStandsInThePlaceOfWhatIsLeftOut) {
  LogReadings readings = left_out_log();
  EXPECT_NE(find_robot_or_why(readings).find("those that this drive shows stand in their place"), std::string::npos);
  LogReadings few = left_out_log();
  few.drive.scans.resize(4);
  EXPECT_NE(find_robot_or_why(few).find("Guesses stand in place"), std::string::npos);
  EXPECT_FALSE(few.drive.robot.left_out.found);
  EXPECT_EQ(few.drive.scans.size(), 4U);
  readings.drive.robot.left_out = {};
  EXPECT_EQ(find_robot_or_why(readings), "");
}

}  // namespace
}  // namespace wainscot
