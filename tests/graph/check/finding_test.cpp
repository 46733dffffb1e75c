#include "graph/check/finding.hpp"

#include <set>
#include <stdexcept>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(Finding, LinesAreAsTheFileTakesThem) {
  Robot robot;
  robot.drive = DriveConstants{};
  robot.drive->left_m_per_tick = -8.5e-5;
  robot.lidar.mirrored = true;
  robot.lidar.blind_deg = {{170.0, -175.0}, {10.0, 12.5}};
  EXPECT_EQ(robot_line(robot, "drive.left_m_per_tick"), "drive.left_m_per_tick: -8.5e-05");
  EXPECT_EQ(robot_line(robot, "lidar.mirrored"), "lidar.mirrored: true");
  EXPECT_EQ(robot_line(robot, "lidar.blind_deg"), "lidar.blind_deg: [[170, -175], [10, 12.5]]");
  EXPECT_THROW(robot_line(robot, "lidar.colour"), std::out_of_range);
}

TEST(Finding, EveryFaultHasANameOfItsOwn) {
  std::set<std::string> names;
  for (int f = 0; f <= static_cast<int>(Fault::too_fast); ++f) names.insert(fault_name(static_cast<Fault>(f)));
  EXPECT_EQ(names.size(), static_cast<std::size_t>(Fault::too_fast) + 1);
}

TEST(Finding, UnitsAreKnownAsSuch) {
  EXPECT_TRUE(is_of_units(Fault::time_unit));
  EXPECT_TRUE(is_of_units(Fault::range_unit));
  EXPECT_FALSE(is_of_units(Fault::counter_wraps));
  Robot robot;
  robot.odometry.position_m = 0.001;
  robot.gyro.scale = 0.0174532925;
  EXPECT_EQ(robot_line(robot, "odometry.position_unit_m"), "odometry.position_unit_m: 0.001");
  EXPECT_EQ(robot_line(robot, "gyro.scale"), "gyro.scale: 0.0174533");
}

TEST(Finding, ConfidenceIsNeverCertainty) {
  EXPECT_NEAR(confidence_of(3.841, 1), 0.95, 1e-4);  // NIST/SEMATECH handbook, table 1.3.6.7.4
  EXPECT_EQ(confidence_of(1e6, 1), 0.9999);
}

}  // namespace
}  // namespace wainscot
