#include "graph/mapping/refined_constants.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>
#include <string>

#include <gtest/gtest.h>
#include <Eigen/Dense>

namespace wainscot {
namespace {

Drive with_wheels() {
  Drive drive;
  drive.wheels = {{0.0, 0, 0}, {1.0, 1000, 1000}};
  DriveConstants constants;
  constants.left_m_per_tick = 1e-4;
  constants.right_m_per_tick = -2e-4;
  constants.track_width_m = 0.4;
  drive.robot.drive = constants;
  drive.robot.lidar.heading_deg = 90.0;
  return drive;
}

JointResult adjusted_by(const ConstantVector& change) {
  JointResult adjusted;
  adjusted.constants.change = change;
  adjusted.constant_covariance = 1e-6 * ConstantMatrix::Identity();
  return adjusted;
}

const RefinedConstant& row(const std::vector<RefinedConstant>& rows, const std::string& name) {
  const auto found = std::find_if(rows.begin(), rows.end(), [&](const RefinedConstant& c) { return c.name == name; });
  if (found == rows.end()) throw std::runtime_error(name + " is missing");
  return *found;
}

bool has(const std::vector<RefinedConstant>& rows, const std::string& name) {
  return std::any_of(rows.begin(), rows.end(), [&](const RefinedConstant& c) { return c.name == name; });
}

TEST(RefinedConstants, AnglesAreInDegrees) {
  ConstantVector change = ConstantVector::Zero();
  change[kMountingHeading] = 0.01;
  const auto rows = refined_constants(with_wheels(), adjusted_by(change));
  const RefinedConstant& heading = row(rows, "lidar.heading_deg");
  EXPECT_EQ(heading.stated, 90.0);
  EXPECT_NEAR(heading.found, 90.0 + 1.8 / std::numbers::pi, 1e-12);
  EXPECT_NEAR(heading.found_sd, 0.18 / std::numbers::pi, 1e-12);
  EXPECT_TRUE(heading.observed);
}

// A wheel that is 1 % larger than stated: the robot goes 0.5 % further and bends by 0.01 / width a metre, and its turns
// are 0.5 % larger.
TEST(RefinedConstants, TheThreeTermsAreToldAsWheels) {
  ConstantVector change = ConstantVector::Zero();
  change[kDistanceScale] = 0.005;
  change[kTurnScale] = 0.005;
  change[kCurvature] = 0.01 / 0.4;
  const auto rows = refined_constants(with_wheels(), adjusted_by(change));
  EXPECT_NEAR(row(rows, "drive.left_m_per_tick").found, 1e-4, 1e-12);
  EXPECT_NEAR(row(rows, "drive.right_m_per_tick").found, -2.02e-4, 1e-12);
  EXPECT_NEAR(row(rows, "drive.track_width_m").found, 0.4, 1e-12);
  EXPECT_NEAR(row(rows, "drive.left_m_per_tick").stated_sd, 1e-6, 1e-12);  // 1 % where nothing is stated
}

TEST(RefinedConstants, OneNumberForTheWholeHouseIsNotTruerThanTheTurningCentreStays) {
  JointResult adjusted = adjusted_by(ConstantVector::Zero());
  adjusted.constant_covariance.setZero();
  const auto rows = refined_constants(with_wheels(), adjusted);
  EXPECT_NEAR(row(rows, "lidar.y_m").found_sd, 0.012 * 0.2, 1e-12);
  EXPECT_EQ(row(rows, "lidar.x_m").found_sd, 0.0);
}

// The width is off by what the distance scale is off, less what the turn scale is.
TEST(RefinedConstants, ErrorsOfTurnsThatLastMakeTheWidthLessSureAndNothingElse) {
  JointResult adjusted = adjusted_by(ConstantVector::Zero());
  adjusted.lasting_turn_variance = 2e-6;
  const auto rows = refined_constants(with_wheels(), adjusted);
  EXPECT_NEAR(row(rows, "drive.track_width_m").found_sd, 0.4 * 2e-3, 1e-12);  // sqrt(1e-6 + 1e-6 + 2e-6)
  EXPECT_NEAR(row(rows, "drive.left_m_per_tick").found_sd, 1e-4 * std::sqrt(1e-6 + 0.04e-6), 1e-12);
}

TEST(RefinedConstants, OdometryHasFactorsInPlaceOfWheels) {
  Drive drive = with_wheels();
  drive.wheels.clear();
  drive.odometry = {{0.0, {}}, {1.0, {}}};
  ConstantVector change = ConstantVector::Zero();
  change[kTurnScale] = -0.02;
  const auto rows = refined_constants(drive, adjusted_by(change));
  EXPECT_FALSE(has(rows, "drive.track_width_m"));
  EXPECT_NEAR(row(rows, "odometry's turns, true / recorded").found, 0.98, 1e-12);
  EXPECT_EQ(row(rows, "odometry's way, true / recorded").found, 1.0);
}

TEST(RefinedConstants, OnlyWhatTheRobotHas) {
  Drive drive = with_wheels();
  drive.robot.lidar.sweep_s = 0.0;
  auto rows = refined_constants(drive, adjusted_by(ConstantVector::Zero()));
  EXPECT_FALSE(has(rows, "lidar.sweep_s"));
  EXPECT_FALSE(has(rows, "gyro.scale"));
  drive.robot.lidar.sweep_s = 0.2;
  drive.robot.gyro.bias_rad_s = 0.01;
  drive.gyro = {{0.0, 0.01}, {1.0, 0.01}};
  ConstantVector change = ConstantVector::Zero();
  change[kSweepScale] = 0.01;
  change[kGyroBias] = 0.002;
  rows = refined_constants(drive, adjusted_by(change));
  EXPECT_NEAR(row(rows, "lidar.sweep_s").found, 0.202, 1e-12);
  EXPECT_NEAR(row(rows, "gyro.bias_rad_s").found, 0.012, 1e-12);
}

}  // namespace
}  // namespace wainscot
