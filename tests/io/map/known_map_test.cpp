#include "io/map/known_map.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

RefinedConstant constant(const char* name, double stated, double found) {
  RefinedConstant row;
  row.name = name;
  row.stated = stated;
  row.found = found;
  return row;
}

Drive recorded() {
  Drive drive;
  drive.robot.drive = DriveConstants{};
  drive.robot.drive->left_m_per_tick = drive.robot.drive->right_m_per_tick = 1e-4;
  drive.robot.drive->track_width_m = 0.3;
  drive.robot.lidar.x_m = 0.04;
  drive.scans = {{10.0, {}}, {10.5, {}}};
  return drive;
}

SavedMap saved_map() {
  SavedMap saved;
  saved.map.constants = {constant("drive.left_m_per_tick", 1e-4, 1.01e-4),
                         constant("drive.right_m_per_tick", 1e-4, 0.99e-4),
                         constant("drive.track_width_m", 0.3, 0.31),
                         constant("lidar.x_m", 0.04, 0.05),
                         constant("lidar.heading_deg", 0.0, 0.5),
                         constant("lidar.time_offset_s", 0.0, -0.02),
                         constant("slip in turns", 0.0, 0.01)};
  return saved;
}

TEST(KnownRobot, OfTheMapTakesWhatTheMapFound) {
  const KnownRobot known = with_found_constants(recorded(), saved_map());
  EXPECT_TRUE(known.is_of_the_map);
  EXPECT_DOUBLE_EQ(known.drive.robot.drive->left_m_per_tick, 1.01e-4);
  EXPECT_DOUBLE_EQ(known.drive.robot.drive->track_width_m, 0.31);
  EXPECT_DOUBLE_EQ(known.lidar.mounting.x_m, 0.05);
  EXPECT_NEAR(known.lidar.mounting.heading_rad, 0.5 * 0.017453292519943295, 1e-12);
  EXPECT_DOUBLE_EQ(known.drive.scans[1].time_s, 10.48);
  EXPECT_EQ(known.options.common_sd, LocatorOptions().common_sd);
}

TEST(KnownRobot, WithWhatTheMapFoundInItsRobotYamlIsOfTheMapToo) {
  SavedMap saved = saved_map();
  for (RefinedConstant& c : saved.map.constants) c.found_sd = 1e-3 * std::abs(c.found);
  Drive with_found = recorded();
  with_found.robot.drive->left_m_per_tick = 1.01004e-4;  // rounded
  with_found.robot.drive->track_width_m = 0.31;
  with_found.robot.lidar.x_m = 0.05;
  const KnownRobot known = with_found_constants(with_found, saved);
  EXPECT_TRUE(known.is_of_the_map);
  EXPECT_DOUBLE_EQ(known.drive.robot.drive->left_m_per_tick, 1.01e-4);
  EXPECT_DOUBLE_EQ(known.drive.robot.drive->right_m_per_tick, 0.99e-4);
}

TEST(KnownRobot, TheLidarsClockDriftsAsOnTheMapsFirstDrive) {
  SavedMap saved = saved_map();
  saved.map.constants.push_back(constant("lidar.clock_rate", 1.0, 1.0001));
  for (const double time_s : {100.0, 150.0, 300.0}) saved.map.trajectory.push_back({time_s, {}, {}, 1});
  saved.map.trajectory.push_back({900.0, {}, {}, 2});
  const KnownRobot known = with_found_constants(recorded(), saved);
  // -20 ms in the middle, 100 s after the begin: -30 ms at the begin.
  EXPECT_NEAR(known.drive.scans[0].time_s, 10.0 - 0.03, 1e-12);
  EXPECT_NEAR(known.drive.scans[1].time_s, 10.5 - 0.03 + 0.5e-4, 1e-12);
  EXPECT_GT(known.options.delay_sd_s, 0.0);
}

TEST(KnownRobot, AnyOtherKeepsWhatItsFileStatesAndIsLessSure) {
  Drive other = recorded();
  other.robot.drive->track_width_m = 0.28;
  const KnownRobot known = with_found_constants(other, saved_map());
  EXPECT_FALSE(known.is_of_the_map);
  EXPECT_DOUBLE_EQ(known.drive.robot.drive->left_m_per_tick, 1e-4);
  EXPECT_DOUBLE_EQ(known.lidar.mounting.x_m, 0.04);
  EXPECT_DOUBLE_EQ(known.drive.scans[1].time_s, 10.5);
  EXPECT_GT(known.options.common_sd.x(), 0.015);
  EXPECT_GT(known.options.common_sd.z(), 0.02);
}

TEST(KnownRobot, WithoutWheelsIsNotThatOfAMapWithWheels) {
  Drive other = recorded();
  other.robot.drive.reset();
  EXPECT_FALSE(with_found_constants(other, saved_map()).is_of_the_map);
}

}  // namespace
}  // namespace wainscot
