#include "graph/motion/scan_odometry.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "graph/mapping/mapper.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

/// Of a path's places by their true ones, both beginning at the same pose.
template <typename Row>
double worst_m(const std::vector<Row>& path, const DrivenHouse& house) {
  const Pose2 begin = house.true_pose(path.front().time_s);
  double worst = 0.0;
  for (const Row& pose : path) {
    const Pose2 truth = between(begin, house.true_pose(pose.time_s));
    const Pose2 found = between(path.front().pose, pose.pose);
    worst = std::max(worst, (truth.translation() - found.translation()).norm());
  }
  return worst;
}

Drive with_counters_that_stand(Drive drive) {
  for (WheelCounts& counts : drive.wheels) counts.left_ticks = counts.right_ticks = 0;
  return drive;
}

TEST(ScanOdometry, ADriveThatRecordedItsMotionStaysAsItIs) {
  const DrivenHouse house = driven(ring_house(1));
  EXPECT_FALSE(has_no_motion(house.drive));
  const Drive drive = with_motion(house.drive);
  EXPECT_EQ(drive.wheels.size(), house.drive.wheels.size());
  EXPECT_TRUE(drive.odometry.empty());
  EXPECT_EQ(drive.warnings, house.drive.warnings);
}

TEST(ScanOdometry, CountersThatStoodGiveWayToTheScans) {
  const DrivenHouse house = driven(ring_house(1));
  const Drive still = with_counters_that_stand(house.drive);
  EXPECT_TRUE(has_no_motion(still));
  const Drive drive = with_motion(still);
  EXPECT_TRUE(drive.wheels.empty());
  EXPECT_TRUE(drive.breaks.empty());
  ASSERT_EQ(drive.warnings.size(), still.warnings.size() + 1);
  EXPECT_NE(drive.warnings.back().find("by its own record the robot went nowhere"), std::string::npos)
      << drive.warnings.back();
  for (std::size_t i = 1; i < drive.odometry.size(); ++i) {
    EXPECT_GT(drive.odometry[i].time_s, drive.odometry[i - 1].time_s);
    EXPECT_LT(std::abs(drive.odometry[i].pose.heading_rad - drive.odometry[i - 1].pose.heading_rad), 1.0);
  }
  // A chain of a few hundred matches over 20 m of way.
  EXPECT_LT(worst_m(drive.odometry, house), 0.3);
}

TEST(ScanOdometry, WithoutAnyRecordTheMapIsMadeOfTheScans) {
  const DrivenHouse house = driven(ring_house(1));
  Drive bare = house.drive;
  bare.wheels.clear();
  EXPECT_TRUE(has_no_motion(bare));
  const Drive drive = with_motion(bare);
  EXPECT_NE(drive.warnings.back().find("nothing is recorded of how the robot moved"), std::string::npos);
  const Map map = build_map(drive, {});
  EXPECT_EQ(map.quality.scans_used, static_cast<int>(drive.scans.size()));
  EXPECT_LT(worst_m(map.trajectory, house), 0.05);
}

TEST(ScanOdometry, ARobotThatStoodOrTurnedOnTheSpotIsLeftAsItIs) {
  Drive drive = with_counters_that_stand(driven(ring_house(1)).drive);
  for (Scan& scan : drive.scans) scan.returns = drive.scans.front().returns;
  const Drive same = with_motion(drive);
  EXPECT_TRUE(same.odometry.empty());
  EXPECT_EQ(same.warnings, drive.warnings);
}

TEST(ScanOdometry, WhereAScanFitsNowhereTheMotionIsUnknown) {
  Drive drive;
  drive.scans.resize(3);
  drive.scans[2].time_s = 0.9;
  drive.scans[2].returns.push_back({0.0F, 1.0F, 0.1F});
  drive.robot.lidar.x_m = 0.2;
  ScanIncrements increments;
  ScanIncrement first;
  first.begin_s = 0.0;
  first.end_s = 0.1;
  first.motion = {0.0, 0.0, 0.5};
  ScanIncrement second = first;
  second.begin_s = 0.8;
  second.end_s = 0.9;
  second.motion = {0.1, 0.0, 0.0};
  increments.short_steps = {first, second};
  const Drive found = with_motion_by_scans(drive, increments);
  ASSERT_EQ(found.odometry.size(), 5U);
  EXPECT_EQ(found.breaks, std::vector<std::size_t>{2});
  // Turned about a lidar 0.2 m ahead: the robot swings behind it.
  EXPECT_NEAR(found.odometry[1].pose.x_m, 0.2 - 0.2 * std::cos(0.5), 1e-12);
  EXPECT_NEAR(found.odometry[1].pose.y_m, -0.2 * std::sin(0.5), 1e-12);
  EXPECT_EQ(found.odometry[2].pose.x_m, found.odometry[1].pose.x_m);
  EXPECT_NEAR(found.odometry[4].time_s, 1.0, 1e-6);
  EXPECT_NEAR((found.odometry[4].pose.translation() - found.odometry[3].pose.translation()).norm(), 0.1, 1e-6);
}

}  // namespace
}  // namespace wainscot
