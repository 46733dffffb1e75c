#include "graph/motion/scan_increments.hpp"

#include <cmath>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

/// The lidar's true motion of an increment, tangent of the difference to what was found.
Tangent2 error_of(const ScanIncrement& increment, const DrivenHouse& house) {
  const simulator::TrueLidar& lidar = house.truth.lidar;
  const Pose2 mounting{lidar.x_m, lidar.y_m, lidar.heading_rad};
  const Pose2 begin = house.true_pose(increment.begin_s) * mounting;
  const Pose2 end = house.true_pose(increment.end_s) * mounting;
  Pose2 error = between(between(begin, end), increment.motion);
  error.heading_rad = wrap_angle(error.heading_rad);
  return log(error);
}

double rms(const std::vector<ScanIncrement>& increments, const DrivenHouse& house, int component) {
  double sum = 0.0;
  for (const ScanIncrement& step : increments) sum += std::pow(error_of(step, house)[component], 2);
  return std::sqrt(sum / static_cast<double>(increments.size()));
}

TEST(ScanIncrements, FollowTheLidarOfARobotWithoutDefects) {
  const DrivenHouse house = driven(ring_house(1));
  const ScanIncrements found = find_scan_increments(house.drive);
  EXPECT_EQ(found.lost, 0);
  EXPECT_EQ(found.short_steps.size() + 1, static_cast<std::size_t>(found.scans));
  EXPECT_GT(found.long_steps.size(), 60U);
  EXPECT_LT(found.long_steps.size(), found.short_steps.size() / 2);
  EXPECT_LT(rms(found.long_steps, house, 0), 0.002);
  EXPECT_LT(rms(found.long_steps, house, 1), 0.002);
  EXPECT_LT(rms(found.long_steps, house, 2), 0.003);
}

TEST(ScanIncrements, AskNeitherTheWheelsNorTheMounting) {
  DrivenHouse house = driven(ring_house(1));
  const ScanIncrements before = find_scan_increments(house.drive);
  house.drive.robot.drive->left_m_per_tick *= -2.0;
  house.drive.robot.lidar.heading_deg = 90.0;
  house.drive.robot.lidar.x_m = 0.3;
  house.drive.wheels.clear();
  const ScanIncrements after = find_scan_increments(house.drive);
  ASSERT_EQ(after.long_steps.size(), before.long_steps.size());
  for (std::size_t i = 0; i < after.long_steps.size(); ++i) {
    EXPECT_EQ(after.long_steps[i].motion.x_m, before.long_steps[i].motion.x_m);
    EXPECT_EQ(after.long_steps[i].motion.heading_rad, before.long_steps[i].motion.heading_rad);
  }
}

TEST(ScanIncrements, StateTheirAccuracyUnderNoise) {
  simulator::Plan plan = ring_house(1);
  plan.defects.range_noise_m = simulator::Knob::fixed(0.015);
  const DrivenHouse house = driven(plan);
  const ScanIncrements found = find_scan_increments(house.drive);
  ASSERT_GT(found.long_steps.size(), 60U);
  double chi = 0.0;
  for (const ScanIncrement& step : found.long_steps) {
    const Tangent2 error = error_of(step, house);
    chi += error.dot(step.covariance.ldlt().solve(error));
  }
  chi /= 3.0 * static_cast<double>(found.long_steps.size());
  EXPECT_GT(chi, 0.3);
  EXPECT_LT(chi, 3.0);
  EXPECT_LT(rms(found.long_steps, house, 0), 0.006);
  EXPECT_LT(rms(found.long_steps, house, 2), 0.003);
}

TEST(ScanIncrements, ADriveWithoutScansHasNone) {
  const ScanIncrements found = find_scan_increments(Drive());
  EXPECT_EQ(found.scans, 0);
  EXPECT_TRUE(found.short_steps.empty());
  EXPECT_TRUE(found.long_steps.empty());
}

TEST(ScanIncrements, ScansOfDifferentPlacesAreNotJoined) {
  DrivenHouse house = driven(ring_house(1));
  std::vector<Scan>& scans = house.drive.scans;
  // A stretch of the drive is cut out, as if the robot had been carried into another room.
  const std::size_t at = scans.size() / 4;
  scans.erase(scans.begin() + static_cast<std::ptrdiff_t>(at), scans.begin() + static_cast<std::ptrdiff_t>(2 * at));
  const ScanIncrements found = find_scan_increments(house.drive);
  EXPECT_GE(found.lost, 1);
  for (const ScanIncrement& step : found.long_steps) EXPECT_TRUE(step.to < at || step.from >= at);
}

}  // namespace
}  // namespace wainscot
