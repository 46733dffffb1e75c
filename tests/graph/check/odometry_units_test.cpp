#include "graph/check/odometry_units.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "core/angles.hpp"
#include "core/odometry.hpp"
#include "tests/graph/made_log.hpp"

namespace wainscot {
namespace {

/// The made drive as odometry.csv has it, its lidar off the middle.
struct PoseDrive {
  Drive drive;
  LidarMotion motion;
};

PoseDrive pose_drive(double per_metre = 1.0, double per_radian = 1.0) {
  MadeLog made = made_log({});
  PoseDrive result;
  result.motion.steps = made.steps;
  const OdometryPath path(odometry_steps(made.drive), {});
  for (std::size_t i = 0; i < made.drive.wheels.size(); i += 10) {
    Pose2 pose = path.pose_at(made.drive.wheels[i].time_s);
    pose.x_m *= per_metre;
    pose.y_m *= per_metre;
    pose.heading_rad *= per_radian;
    result.drive.odometry.push_back({made.drive.wheels[i].time_s, pose});
  }
  return result;
}

TEST(OdometryUnits, MetresAndRadiansAreRight) {
  PoseDrive log = pose_drive();
  EXPECT_TRUE(mend_odometry_units(log.motion, nullptr, log.drive).empty());
  // Way and turns that are off by a third are constants, no units.
  PoseDrive off = pose_drive(1.4, 0.7);
  EXPECT_TRUE(mend_odometry_units(off.motion, nullptr, off.drive).empty());
  Drive wheels = made_log({}).drive;
  EXPECT_TRUE(mend_odometry_units(log.motion, nullptr, wheels).empty());
}

TEST(OdometryUnits, MillimetresCentimetresAndInches) {
  const PoseDrive right = pose_drive();
  for (const double unit_m : {0.001, 0.01, 0.0254}) {
    PoseDrive log = pose_drive(1.0 / unit_m);
    const std::vector<Finding> findings = mend_odometry_units(log.motion, nullptr, log.drive);
    ASSERT_EQ(findings.size(), 1U) << unit_m;
    EXPECT_EQ(findings[0].fault, Fault::odometry_unit);
    EXPECT_EQ(log.drive.robot.odometry.position_m, unit_m);
    EXPECT_NEAR(log.drive.odometry.back().pose.x_m, right.drive.odometry.back().pose.x_m, 1e-9);
  }
}

TEST(OdometryUnits, RobotYamlMayBeWrongTheOtherWay) {
  PoseDrive log = pose_drive(0.001);  // metres, taken for millimetres
  log.drive.robot.odometry.position_m = 0.001;
  const std::vector<Finding> findings = mend_odometry_units(log.motion, nullptr, log.drive);
  ASSERT_EQ(findings.size(), 1U);
  EXPECT_EQ(findings[0].lines, std::vector<std::string>{"odometry.position_unit_m: 1"});
}

TEST(OdometryUnits, DegreesAndMillimetresAtOnce) {
  PoseDrive log = pose_drive(1000.0, kDegreesPerRadian);
  const OtherHeadings other{kDegree, pose_drive(1000.0, 1.0).drive.odometry, {7}};
  const std::vector<Finding> findings = mend_odometry_units(log.motion, &other, log.drive);
  ASSERT_EQ(findings.size(), 2U);
  EXPECT_EQ(findings[0].fault, Fault::heading_unit);
  EXPECT_EQ(findings[0].lines, std::vector<std::string>{"odometry.heading_unit_rad: 0.0174533"});
  EXPECT_EQ(findings[1].fault, Fault::odometry_unit);
  EXPECT_EQ(log.drive.breaks, std::vector<std::size_t>{7});
  const PoseDrive right = pose_drive();
  EXPECT_NEAR(log.drive.odometry.back().pose.y_m, right.drive.odometry.back().pose.y_m, 1e-9);
  EXPECT_NEAR(log.drive.odometry.back().pose.heading_rad, right.drive.odometry.back().pose.heading_rad, 1e-9);
}

TEST(OdometryUnits, ALidarThatHardlyMovedTellsNothing) {
  PoseDrive log = pose_drive(1000.0);
  for (LidarStride& step : log.motion.steps) step.sure = step.from < 3;
  EXPECT_TRUE(mend_odometry_units(log.motion, nullptr, log.drive).empty());
}

}  // namespace
}  // namespace wainscot
