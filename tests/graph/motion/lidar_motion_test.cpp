#include "graph/motion/lidar_motion.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

/// The lidar's true motion between two times of its clock, which is the wheels' clock in a drive without defects.
Pose2 true_motion(const DrivenHouse& house, double begin_s, double end_s) {
  const LidarConstants& lidar = house.drive.robot.lidar;
  const Pose2 mounting{lidar.x_m, lidar.y_m, 0.0};
  return between(house.true_pose(begin_s) * mounting, house.true_pose(end_s) * mounting);
}

TEST(LidarMotion, FollowsTheLidarWithoutTheWheels) {
  const DrivenHouse house = driven(ring_house(1));
  const TurnScans scans = turn_scans(house.drive.scans, house.drive.robot.lidar);
  LidarMotionOptions options;
  options.sweep_s = scans.stated_s;
  const LidarMotion motion = follow_lidar(scans, house.drive.robot.lidar, options);
  ASSERT_EQ(motion.steps.size() + 1, scans.scans.size());
  double squares_m2 = 0.0;
  double squares_rad2 = 0.0;
  for (const LidarStride& step : motion.steps) {
    EXPECT_TRUE(step.sure);
    const Pose2 error = between(true_motion(house, step.begin_s, step.end_s), step.motion);
    squares_m2 += error.translation().squaredNorm();
    squares_rad2 += error.heading_rad * error.heading_rad;
  }
  const auto count = static_cast<double>(motion.steps.size());
  EXPECT_LT(std::sqrt(squares_m2 / count), 0.005);
  EXPECT_LT(std::sqrt(squares_rad2 / count), 0.006);

  const auto strides = long_strides(scans, motion, house.drive.robot.lidar, options);
  ASSERT_GT(strides.size(), 20U);
  for (const LidarStride& stride : strides) {
    const Pose2 chain = along_steps(motion, stride.from, stride.to);
    EXPECT_LT((chain.translation() - stride.motion.translation()).norm(), 0.03);
    if (stride.sure) {
      const Pose2 error = between(true_motion(house, stride.begin_s, stride.end_s), stride.motion);
      EXPECT_LT(error.translation().norm(), 0.03);
      EXPECT_LT(std::abs(wrap_angle(error.heading_rad)), 0.02);
    }
  }
}

TEST(LidarMotion, TurnsAreCountedFromTimesOrFromAngles) {
  Scan scan{1.0, {}};
  for (int b = 0; b < 40; ++b) {
    const auto turn = static_cast<float>(b) / 40.0F;
    scan.returns.push_back({-3.0F + 6.2F * turn, 2.0F, 0.2F * turn});
  }
  std::vector<Scan> scans(3, scan);
  scans[1].time_s = 1.2;
  scans[2].time_s = 1.4;
  LidarConstants lidar;
  lidar.sweep_s = 0.2;
  EXPECT_NEAR(turn_scans(scans, lidar).scans[0].returns[20].time_offset_s, 0.5, 1e-5);
  lidar.sweep_s = 0.0;
  const TurnScans by_angle = turn_scans(scans, lidar);
  EXPECT_NEAR(by_angle.scans[0].returns[20].time_offset_s, 0.5 * 6.2 / 6.2832, 1e-3);
  EXPECT_EQ(by_angle.stated_s, 0.0);
  EXPECT_NEAR(by_angle.turn_s, 0.2, 1e-9);
}

TEST(LidarMotion, TheMiddleOfASweepStaysWhereItIs) {
  Scan scan{0.0, {{0.0F, 1.0F, 0.0F}, {0.0F, 1.0F, 0.5F}, {0.0F, 1.0F, 1.0F}}};
  const Tangent2 velocity(0.4, 0.0, 0.0);
  const auto forward = unswept(scan, 1.0, 0.2, velocity);
  EXPECT_NEAR(forward[0].x_m, 0.96, 1e-5);
  EXPECT_NEAR(forward[1].x_m, 1.0, 1e-5);
  EXPECT_NEAR(forward[2].x_m, 1.04, 1e-5);
  EXPECT_NEAR(unswept(scan, 1.0, -0.2, velocity)[0].x_m, 1.04, 1e-5);
}

TEST(LidarMotion, TooFewScansGiveNone) { EXPECT_TRUE(follow_lidar({}, {}, {}).steps.empty()); }

}  // namespace
}  // namespace wainscot
