#include "graph/check/scan_witness.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// What a lidar at a pose sees of a box around the origin, a return a degree.
Scan scan_in_box(const Pose2& lidar, double half_length_m, double half_width_m, double time_s) {
  constexpr double kReachM = 7.0;
  Scan scan{time_s, {}};
  for (int degree = -180; degree < 180; ++degree) {
    const double angle = degree * std::numbers::pi / 180.0;
    const double x = std::cos(angle + lidar.heading_rad);
    const double y = std::sin(angle + lidar.heading_rad);
    const double to_end = (std::copysign(half_length_m, x) - lidar.x_m) / x;
    const double to_side = (std::copysign(half_width_m, y) - lidar.y_m) / y;
    const double range = std::min(to_end, to_side);
    if (range < kReachM) scan.returns.push_back({static_cast<float>(angle), static_cast<float>(range), 0.0F});
  }
  return scan;
}

struct TwoScans {
  TurnScans scans;
  LidarMotion motion;
  LidarConstants lidar;
};

TwoScans seen_in(double half_length_m, const Pose2& moved) {
  TwoScans two;
  two.scans.scans = {scan_in_box({}, half_length_m, 1.2, 0.0), scan_in_box(moved, half_length_m, 1.2, 1.0)};
  two.motion.velocities = {Tangent2::Zero(), Tangent2::Zero()};
  return two;
}

TEST(ScanWitness, ARoomTellsARightClaimFromAWrongOne) {
  const Pose2 moved{0.3, 0.05, 0.1};
  const TwoScans room = seen_in(2.0, moved);
  const ScanWitness witness(room.scans, room.motion, room.lidar, 0.0, {});
  EXPECT_TRUE(witness.bears_out(0, 1, moved, moved));
  EXPECT_FALSE(witness.bears_out(0, 1, {0.0, 0.05, 0.1}, moved));  // the wheels stood
  EXPECT_FALSE(witness.bears_out(0, 1, {0.3, 0.05, 0.25}, moved));
}

TEST(ScanWitness, ARightMatchIsRightBothWaysRound) {
  const Pose2 moved{0.3, 0.05, 0.1};
  const TwoScans room = seen_in(2.0, moved);
  const ScanWitness witness(room.scans, room.motion, room.lidar, 0.0, {});
  EXPECT_TRUE(witness.confirms(0, 1, moved));
  EXPECT_FALSE(witness.confirms(0, 1, {0.5, 0.05, 0.1}));
}

TEST(ScanWitness, WhatHardlyMovedSeesTheSame) {
  // Two places in a row of alcoves look alike in part, both ways round: a third of the scan is another.
  TwoScans standing = seen_in(2.0, {0.05, 0.0, 0.0});
  const ScanWitness witness(standing.scans, standing.motion, standing.lidar, 0.0, {});
  EXPECT_TRUE(witness.confirms(0, 1, {0.05, 0.0, 0.0}));
  for (std::size_t i = 0; i < 90; ++i) standing.scans.scans[1].returns[i].range_m *= 0.6F;
  EXPECT_FALSE(witness.confirms(0, 1, {0.05, 0.0, 0.0}));
}

TEST(ScanWitness, TheClaimIsOfTheRobotAndTheScansAreTheLidars) {
  const Pose2 mounting{0.1, 0.0, 0.5 * std::numbers::pi};
  const Pose2 moved{0.3, 0.0, 0.2};
  const Pose2 lidar_moved = inverse(mounting) * moved * mounting;
  const TwoScans room = seen_in(2.0, lidar_moved);
  const ScanWitness witness(room.scans, room.motion, room.lidar, 0.0, mounting);
  EXPECT_TRUE(witness.bears_out(0, 1, moved, lidar_moved));
  EXPECT_FALSE(witness.bears_out(0, 1, lidar_moved, lidar_moved));
}

// The lidar's steps stood still there, and the robot was called stuck.
TEST(ScanWitness, ABareCorridorContradictsNoWay) {
  const TwoScans corridor = seen_in(50.0, {0.3, 0.0, 0.0});
  const ScanWitness witness(corridor.scans, corridor.motion, corridor.lidar, 0.0, {});
  EXPECT_TRUE(witness.bears_out(0, 1, {0.7, 0.0, 0.0}, {}));
  EXPECT_TRUE(witness.bears_out(0, 1, {0.3, 0.0, 0.0}, {}));
  EXPECT_FALSE(witness.bears_out(0, 1, {0.3, 0.0, 0.3}, {}));
}

}  // namespace
}  // namespace wainscot
