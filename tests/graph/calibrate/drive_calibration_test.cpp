#include "graph/calibrate/drive_calibration.hpp"

#include <cmath>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "core/angles.hpp"
#include "core/errors.hpp"
#include "graph/calibrate/missing_drives.hpp"
#include "graph/least_squares.hpp"
#include "tests/graph/imagined_drive.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

TEST(DriveCalibration, FindsAllSevenWhereRobotYamlIsFarOff) {
  ImaginedDrive robot;
  robot.sd_m = robot.sd_rad = 1e-6;
  robot.go(varied());
  const DriveCalibration found = calibrate_drive(robot.drive, robot.increments, {0.0, 0.4});
  EXPECT_NEAR(found.found[kLeftPerTick] / robot.left, 1.0, 5e-4);
  EXPECT_NEAR(found.found[kRightPerTick] / robot.right, 1.0, 5e-4);
  EXPECT_NEAR(found.found[kTrackWidth], robot.width, 2e-4);
  EXPECT_NEAR(found.found[kLidarX], robot.mounting.x_m, 3e-4);
  EXPECT_NEAR(found.found[kLidarY], robot.mounting.y_m, 3e-4);
  EXPECT_NEAR(found.found[kLidarHeading], robot.mounting.heading_rad, 0.05 * kDegree);
  EXPECT_NEAR(found.found[kClockOffset], robot.offset_s, 3e-4);
  for (const bool observed : found.observed) EXPECT_TRUE(observed);
  EXPECT_TRUE(missing_drives(found).empty());
}

TEST(DriveCalibration, ACounterThatRunsBackwardsIsFoundToo) {
  ImaginedDrive robot;
  robot.left = -robot.left;
  robot.go(varied());
  const DriveCalibration found = calibrate_drive(robot.drive, robot.increments);
  EXPECT_NEAR(found.found[kLeftPerTick] / robot.left, 1.0, 0.005);
  EXPECT_NEAR(found.found[kTrackWidth], robot.width, 0.002);
}

/// The robot's motion between two times by the counts, linear between rows.
Pose2 counted_motion(const std::vector<WheelCounts>& wheels, const ImaginedDrive& robot, double begin_s, double end_s) {
  Pose2 moved;
  for (std::size_t i = 1; i < wheels.size(); ++i) {
    const double from = std::max(begin_s, wheels[i - 1].time_s);
    const double to = std::min(end_s, wheels[i].time_s);
    if (to <= from) continue;
    const double part = (to - from) / (wheels[i].time_s - wheels[i - 1].time_s);
    const double l = part * robot.left * static_cast<double>(wheels[i].left_ticks - wheels[i - 1].left_ticks);
    const double r = part * robot.right * static_cast<double>(wheels[i].right_ticks - wheels[i - 1].right_ticks);
    moved = moved * exp({0.5 * (l + r), 0.0, (r - l) / robot.width});
  }
  return moved;
}

/// Standard deviations that no unbiased estimate can be below: the inverse Fisher information of the increments with
/// their known noise (H. Cramer, Mathematical Methods of Statistics, 1946, 32.3).
Eigen::Matrix<double, 7, 1> cramer_rao_bound(const ImaginedDrive& robot) {
  const ResidualFunction whitened = [&robot](const Eigen::VectorXd& change) {
    ImaginedDrive other;
    other.left *= 1.0 + change[0];
    other.right *= 1.0 + change[1];
    other.width *= 1.0 + change[2];
    const Pose2 mounting{robot.mounting.x_m + change[3], robot.mounting.y_m + change[4],
                         robot.mounting.heading_rad + change[5]};
    const double offset_s = robot.offset_s + change[6];
    Eigen::VectorXd all(3 * static_cast<Eigen::Index>(robot.increments.long_steps.size()));
    Eigen::Index next = 0;
    for (const ScanIncrement& step : robot.increments.long_steps) {
      const Pose2 moved = counted_motion(robot.drive.wheels, other, step.begin_s + offset_s, step.end_s + offset_s);
      const Tangent2 difference = log(between(inverse(mounting) * moved * mounting, step.motion));
      all.segment<2>(next) = difference.head<2>() / robot.sd_m;
      all[next + 2] = difference.z() / robot.sd_rad;
      next += 3;
    }
    return all;
  };
  const Eigen::MatrixXd jacobian = evaluate_squares(whitened, Eigen::VectorXd::Zero(7)).jacobian;
  Eigen::Matrix<double, 7, 1> bound =
      Eigen::MatrixXd((jacobian.transpose() * jacobian).inverse()).diagonal().cwiseSqrt();
  bound.head<3>().array() *= robot.truth().head<3>().array().abs();
  return bound;
}

TEST(DriveCalibration, IsNearTheCramerRaoBoundAndSaysSo) {
  constexpr int kSeeds = 24;
  Eigen::Matrix<double, 7, 1> squares = Eigen::Matrix<double, 7, 1>::Zero();
  Eigen::Matrix<double, 7, 1> held = Eigen::Matrix<double, 7, 1>::Zero();
  Eigen::Matrix<double, 7, 1> bound;
  for (int seed = 1; seed <= kSeeds; ++seed) {
    ImaginedDrive robot;
    robot.go(varied(), seed);
    if (seed == 1) bound = cramer_rao_bound(robot);
    const DriveCalibration found = calibrate_drive(robot.drive, robot.increments, {0.0, 0.4});
    const Eigen::Matrix<double, 7, 1> error = found.found - robot.truth();
    squares += error.cwiseAbs2();
    for (int c = 0; c < 7; ++c) held[c] += std::abs(error[c]) < found.half_width(static_cast<DriveConstant>(c)) ? 1 : 0;
  }
  for (int c = 0; c < 7; ++c) {
    const double ratio = std::sqrt(squares[c] / kSeeds) / bound[c];
    EXPECT_GT(ratio, 0.7) << c;
    EXPECT_LT(ratio, 1.4) << c;
    EXPECT_GE(held[c], 20) << c;  // fewer than 20 of 24 at 95 % happen once in 500
  }
}

TEST(DriveCalibration, SaysWhatADriveCannotShow) {
  ImaginedDrive straight;
  straight.go({{0.3, 0.0, 40.0}});
  const DriveCalibration never_turned = calibrate_drive(straight.drive, straight.increments);
  EXPECT_FALSE(never_turned.observed[kTrackWidth]);
  EXPECT_FALSE(never_turned.observed[kLidarX]);
  ASSERT_FALSE(missing_drives(never_turned).empty());
  EXPECT_NE(missing_drives(never_turned).front().find("hardly turned"), std::string::npos);

  ImaginedDrive one_way;
  one_way.go({{0.3, 0.0, 10.0}, {0.0, 0.8, 10.0}, {0.3, 0.0, 10.0}, {0.2, 0.6, 10.0}});
  const auto one_way_missing = missing_drives(calibrate_drive(one_way.drive, one_way.increments));
  ASSERT_EQ(one_way_missing.size(), 1U);
  EXPECT_NE(one_way_missing[0].find("round to the right"), std::string::npos) << one_way_missing[0];

  ImaginedDrive on_the_spot;
  on_the_spot.go({{0.0, 0.8, 15.0}, {0.0, -0.8, 15.0}, {0.0, 1.0, 10.0}});
  const DriveCalibration no_straight = calibrate_drive(on_the_spot.drive, on_the_spot.increments);
  EXPECT_FALSE(no_straight.observed[kLidarHeading]);
  ASSERT_FALSE(missing_drives(no_straight).empty());
  EXPECT_NE(missing_drives(no_straight).back().find("3 m straight ahead"), std::string::npos);

  ImaginedDrive hardly;
  hardly.go({{0.3, 0.0, 2.0}});
  EXPECT_THROW(calibrate_drive(hardly.drive, hardly.increments), PoorData);
}

TEST(DriveCalibration, OfASimulatedHouseWithTheLidarAQuarterTurnOff) {
  simulator::Plan plan = ring_house(1);
  plan.defects.range_noise_m = simulator::Knob::fixed(0.015);
  plan.defects.mounting_y_error_m = simulator::Knob::fixed(0.02);
  plan.defects.stamp_delay_s = simulator::Knob::fixed(0.02);
  DrivenHouse house = driven(plan);
  const Robot right = house.drive.robot;
  house.drive.robot.lidar.heading_deg = 90.0;
  house.drive.robot.drive->left_m_per_tick *= 1.2;
  house.drive.robot.drive->right_m_per_tick *= 0.85;
  const ScanIncrements increments = find_scan_increments(house.drive);
  const DriveCalibration found = calibrate_drive(house.drive, increments);
  EXPECT_NEAR(found.found[kLeftPerTick] / house.truth.left_m_per_tick, 1.0, 0.005);
  EXPECT_NEAR(found.found[kRightPerTick] / house.truth.right_m_per_tick, 1.0, 0.005);
  EXPECT_NEAR(found.found[kTrackWidth] / right.drive->track_width_m, 1.0, 0.01);
  EXPECT_NEAR(found.found[kLidarX], house.truth.lidar.x_m, 0.003);
  EXPECT_NEAR(found.found[kLidarY], house.truth.lidar.y_m, 0.003);
  EXPECT_NEAR(found.found[kLidarHeading], house.truth.lidar.heading_rad, 0.2 * kDegree);
  EXPECT_NEAR(found.found[kClockOffset], -0.02, 0.004);
}

}  // namespace
}  // namespace wainscot
