#include "graph/motion/found_robot.hpp"

#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

struct LeftOutDrive {
  Drive drive;
  Robot truth;
};

/// Once around a ring of rooms, with guesses in the place of the constants; its lidar sits off the middle.
LeftOutDrive left_out_drive() {
  simulator::Plan plan = ring_house(1);
  plan.defects.range_noise_m = simulator::Knob::fixed(0.01);
  plan.robot.lidar.y_m = 0.03;
  plan.robot.lidar.heading_deg = 90.0;
  plan.robot.right_m_per_tick = -1.04e-4;  // this counter runs backwards
  LeftOutDrive made{driven(plan).drive, {}};
  Robot& robot = made.drive.robot;
  made.truth = robot;
  robot.drive->left_m_per_tick = robot.drive->right_m_per_tick = 2e-4;
  robot.drive->track_width_m = 0.25;
  robot.lidar.x_m = robot.lidar.y_m = robot.lidar.heading_deg = 0.0;
  robot.left_out = {true, true, true, false};
  return made;
}

void expect_near(const Robot& found, const Robot& truth) {
  EXPECT_NEAR(found.drive->left_m_per_tick / truth.drive->left_m_per_tick, 1.0, 0.01);
  EXPECT_NEAR(found.drive->right_m_per_tick / truth.drive->right_m_per_tick, 1.0, 0.01);
  EXPECT_NEAR(found.drive->track_width_m, truth.drive->track_width_m, 0.006);
  EXPECT_NEAR(found.lidar.x_m, truth.lidar.x_m, 0.006);
  EXPECT_NEAR(found.lidar.y_m, truth.lidar.y_m, 0.006);
  EXPECT_NEAR(found.lidar.heading_deg, truth.lidar.heading_deg, 0.5);
}

TEST(FoundRobot, WheelsAndMountingComeFromTheDrive) {
  const LeftOutDrive made = left_out_drive();
  const Drive found = with_found_robot(made.drive);
  expect_near(found.robot, made.truth);
  EXPECT_TRUE(found.robot.left_out.found);
  EXPECT_FALSE(found.robot.left_out.mirrored);
  EXPECT_FALSE(found.robot.lidar.mirrored);
  EXPECT_GT(*found.robot.drive->left_sd_m_per_tick, 0.039 * found.robot.drive->left_m_per_tick);
  EXPECT_EQ(found.robot.lidar.time_offset_s, 0.0);
  // What is found stays, and a mounting that is stated too.
  EXPECT_EQ(with_found_robot(found).robot.drive->track_width_m, found.robot.drive->track_width_m);
  Drive stated = made.drive;
  stated.robot.left_out.mounting = false;
  stated.robot.lidar.x_m = 0.07;
  EXPECT_EQ(with_found_robot(stated).robot.lidar.x_m, 0.07);
}

TEST(FoundRobot, AClockThatIsFarOffIsSetRight) {
  LeftOutDrive made = left_out_drive();
  for (Scan& scan : made.drive.scans) scan.time_s += 0.6;
  const double first_s = made.drive.scans.front().time_s;
  const Drive found = with_found_robot(made.drive);
  EXPECT_NEAR(found.robot.lidar.time_offset_s, -0.6, 0.03);
  EXPECT_DOUBLE_EQ(found.scans.front().time_s, first_s + found.robot.lidar.time_offset_s);
  expect_near(found.robot, made.truth);
}

/// The simulated robot's right counter runs backwards; here both do, as a mirrored lidar makes believe.
TEST(FoundRobot, WhereBothCountersWouldRunBackwardsTheLidarIsTurnedRound) {
  LeftOutDrive made = left_out_drive();
  for (WheelCounts& row : made.drive.wheels) row.right_ticks = -row.right_ticks;
  made.truth.drive->right_m_per_tick = -made.truth.drive->right_m_per_tick;
  for (Scan& scan : made.drive.scans) {
    for (Return& beam : scan.returns) beam.angle_rad = -beam.angle_rad;
  }
  const Drive found = with_found_robot(made.drive);
  EXPECT_TRUE(found.robot.lidar.mirrored);
  EXPECT_TRUE(found.robot.left_out.mirrored);
  expect_near(found.robot, made.truth);
  // Where robot.yaml says which way the angles run, the counters run backwards.
  made.drive.robot.left_out.mirrored = false;
  const Drive stated = with_found_robot(made.drive);
  EXPECT_FALSE(stated.robot.lidar.mirrored);
  EXPECT_LT(stated.robot.drive->left_m_per_tick, 0.0);
  EXPECT_LT(stated.robot.drive->right_m_per_tick, 0.0);
}

std::string refusal(Drive drive) {
  try {
    with_found_robot(std::move(drive));
  } catch (const PoorData& poor) {
    return poor.what();
  }
  return "";
}

TEST(FoundRobot, ADriveThatShowsTooLittleIsRefusedWithWhatToDrive) {
  const LeftOutDrive made = left_out_drive();
  Drive few = made.drive;
  few.scans.resize(5);
  EXPECT_NE(refusal(few).find("too few scans"), std::string::npos);
  // Up to the first corner.
  Drive straight = made.drive;
  straight.scans.resize(30);
  EXPECT_NE(refusal(straight).find("robot.yaml leaves out"), std::string::npos);
  Drive other = made.drive;
  for (std::size_t i = 0; i < other.wheels.size(); ++i) {
    other.wheels[i].left_ticks = made.drive.wheels[made.drive.wheels.size() - 1 - i].right_ticks;
    other.wheels[i].right_ticks = static_cast<std::int64_t>(i % 7);
  }
  EXPECT_NE(refusal(other), "");
}

TEST(FoundRobot, NothingIsFoundWhereNothingIsLeftOutOrNothingCounts) {
  LeftOutDrive made = left_out_drive();
  Drive standing = made.drive;
  for (WheelCounts& row : standing.wheels) row.left_ticks = row.right_ticks = 0;
  EXPECT_FALSE(with_found_robot(standing).robot.left_out.found);
  made.drive.robot.left_out = {};
  EXPECT_EQ(with_found_robot(made.drive).robot.drive->track_width_m, 0.25);
}

}  // namespace
}  // namespace wainscot
