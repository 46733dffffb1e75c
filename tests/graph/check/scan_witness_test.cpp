#include "graph/check/scan_witness.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

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

struct SomeScans {
  TurnScans scans;
  LidarMotion motion;
  LidarConstants lidar;
};

SomeScans seen_in(double half_length_m, const Pose2& moved) {
  SomeScans two;
  two.scans.scans = {scan_in_box({}, half_length_m, 1.2, 0.0), scan_in_box(moved, half_length_m, 1.2, 1.0)};
  two.motion.velocities = {Tangent2::Zero(), Tangent2::Zero()};
  return two;
}

TEST(ScanWitness, ARoomTellsARightClaimFromAWrongOne) {
  const Pose2 moved{0.3, 0.05, 0.1};
  const SomeScans room = seen_in(2.0, moved);
  const ScanWitness witness(room.scans, room.motion, room.lidar, 0.0, {});
  EXPECT_TRUE(witness.bears_out(0, 1, moved, moved));
  EXPECT_FALSE(witness.bears_out(0, 1, {0.0, 0.05, 0.1}, moved));  // the wheels stood
  EXPECT_FALSE(witness.bears_out(0, 1, {0.3, 0.05, 0.25}, moved));
}

TEST(ScanWitness, ARightMatchIsRightBothWaysRound) {
  const Pose2 moved{0.3, 0.05, 0.1};
  const SomeScans room = seen_in(2.0, moved);
  const ScanWitness witness(room.scans, room.motion, room.lidar, 0.0, {});
  EXPECT_TRUE(witness.confirms(0, 1, moved));
  EXPECT_FALSE(witness.confirms(0, 1, {0.5, 0.05, 0.1}));
}

TEST(ScanWitness, WhatHardlyMovedSeesTheSame) {
  // Two places in a row of alcoves look alike in part, both ways round: a third of the scan is another.
  SomeScans standing = seen_in(2.0, {0.05, 0.0, 0.0});
  const ScanWitness witness(standing.scans, standing.motion, standing.lidar, 0.0, {});
  EXPECT_TRUE(witness.confirms(0, 1, {0.05, 0.0, 0.0}));
  for (std::size_t i = 0; i < 90; ++i) standing.scans.scans[1].returns[i].range_m *= 0.6F;
  EXPECT_FALSE(witness.confirms(0, 1, {0.05, 0.0, 0.0}));
}

TEST(ScanWitness, TheClaimIsOfTheRobotAndTheScansAreTheLidars) {
  const Pose2 mounting{0.1, 0.0, 0.5 * std::numbers::pi};
  const Pose2 moved{0.3, 0.0, 0.2};
  const Pose2 lidar_moved = inverse(mounting) * moved * mounting;
  const SomeScans room = seen_in(2.0, lidar_moved);
  const ScanWitness witness(room.scans, room.motion, room.lidar, 0.0, mounting);
  EXPECT_TRUE(witness.bears_out(0, 1, moved, lidar_moved));
  EXPECT_FALSE(witness.bears_out(0, 1, lidar_moved, lidar_moved));
}

// The lidar's steps stood still there, and the robot was called stuck.
TEST(ScanWitness, ABareCorridorContradictsNoWay) {
  const SomeScans corridor = seen_in(50.0, {0.3, 0.0, 0.0});
  const ScanWitness witness(corridor.scans, corridor.motion, corridor.lidar, 0.0, {});
  EXPECT_TRUE(witness.bears_out(0, 1, {0.7, 0.0, 0.0}, {}));
  EXPECT_TRUE(witness.bears_out(0, 1, {0.3, 0.0, 0.0}, {}));
  EXPECT_FALSE(witness.bears_out(0, 1, {0.3, 0.0, 0.3}, {}));
}

/// Straight ahead through a room, to the places `at_m`, a second from one to the next.
SomeScans seen_on_the_way(const std::vector<double>& at_m) {
  SomeScans some;
  for (std::size_t i = 0; i < at_m.size(); ++i) {
    const auto time_s = static_cast<double>(i);
    some.scans.scans.push_back(scan_in_box({at_m[i], 0.0, 0.0}, 2.0, 1.2, time_s));
    some.motion.velocities.push_back(Tangent2::Zero());
    if (i == 0) continue;
    LidarStride step;
    step.from = i - 1;
    step.to = i;
    step.begin_s = time_s - 1.0;
    step.end_s = time_s;
    step.motion = {at_m[i] - at_m[i - 1], 0.0, 0.0};
    some.motion.steps.push_back(step);
  }
  return some;
}

TEST(ScanWitness, ASlipLastsAndAWrongMatchDoesNot) {
  const auto claimed = [](double begin_s, double end_s) { return Pose2{0.3 * (end_s - begin_s), 0.0, 0.0}; };
  const SomeScans slipped = seen_on_the_way({-0.5, -0.2, 0.3, 0.6});
  const ScanWitness of_slip(slipped.scans, slipped.motion, slipped.lidar, 0.0, {});
  EXPECT_TRUE(of_slip.lasts(slipped.motion.steps[1], claimed));

  SomeScans even = seen_on_the_way({-0.5, -0.2, 0.1, 0.4});
  even.motion.steps[1].motion = {0.5, 0.0, 0.0};
  const ScanWitness of_match(even.scans, even.motion, even.lidar, 0.0, {});
  EXPECT_FALSE(of_match.lasts(even.motion.steps[1], claimed));
  EXPECT_TRUE(of_match.lasts(even.motion.steps[0], claimed)) << "no scan before it to ask";
  EXPECT_TRUE(of_match.lasts(even.motion.steps[2], claimed)) << "nor one after it";
}

}  // namespace
}  // namespace wainscot
