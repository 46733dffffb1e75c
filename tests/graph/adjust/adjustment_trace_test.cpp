#include "graph/adjust/adjustment_trace.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <gtest/gtest.h>

#include "core/angles.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

using simulator::Knob;

/// Once around the ring, and back the same way: turns to both sides.
simulator::Plan there_and_back() {
  simulator::Plan plan = ring_house(1);
  plan.route.pop_back();
  const std::vector<simulator::Waypoint> there = plan.route;
  for (std::size_t i = there.size() - 1; i-- > 0;) plan.route.push_back(there[i]);
  return plan;
}

/// Along one room and through its door, straight ahead.
simulator::Plan straight_ahead() {
  simulator::Plan plan = ring_house(1);
  plan.route.resize(2);
  return plan;
}

struct TracedHouse {
  AdjustedHouse house;
  AdjustmentTrace trace;

  explicit TracedHouse(const simulator::Plan& plan) {
    Drive drive = driven(plan).drive;
    drive.robot.motion_noise = {};
    house = adjusted(drive);
    trace = trace_adjustment(drive, {house.steps, house.joint.constants.odometry()}, house.joint);
  }
};

const TracedHouse& both_ways() {
  static const TracedHouse house(there_and_back());
  return house;
}

TriedConstants later(TriedConstants constants, double by_s) {
  constants.time_offset_s += by_s;
  return constants;
}

std::ptrdiff_t count_of(const TracedPiece& piece, Turning turning) {
  return std::count_if(piece.shown.begin(), piece.shown.end(),
                       [turning](const TracedReturn& seen) { return seen.turning == turning; });
}

TEST(AdjustmentTrace, ReturnsLandWhereTheAdjustmentHasThem) {
  const JointResult& joint = both_ways().house.joint;
  const AdjustmentTrace& trace = both_ways().trace;
  ASSERT_FALSE(trace.pieces.empty());
  for (const TracedPiece& piece : trace.pieces) {
    for (std::size_t i = 0; i < piece.shown.size(); i += 20) {
      const Eigen::Vector2d landing = landing_m(piece.shown[i], trace.found, trace.found);
      double nearest = std::numeric_limits<double>::infinity();
      for (std::size_t k = 0; k < joint.keyframes.size(); ++k) {
        for (const ScanPoint& p : joint.keyframes[k].points) {
          if (p.angle_rad != static_cast<float>(piece.shown[i].angle_rad)) continue;
          nearest = std::min(nearest, (joint.poses[k] * Eigen::Vector2d(p.x_m, p.y_m) - landing).norm());
        }
      }
      EXPECT_LT(nearest, 1e-5);
    }
  }
}

TEST(AdjustmentTrace, ThicknessAsFoundIsTheAdjustmentsResidual) {
  simulator::Plan plan = there_and_back();
  plan.defects.range_noise_m = Knob::fixed(0.015);
  plan.uncertainties_stated = false;
  const TracedHouse noisy(plan);
  EXPECT_NEAR(thickness_m(noisy.trace, noisy.trace.found), noisy.house.joint.residual_rms_m,
              0.2 * noisy.house.joint.residual_rms_m);
}

TEST(AdjustmentTrace, PiecesStandApartAndWereSeenInTurnsBothWays) {
  const std::vector<TracedPiece>& pieces = both_ways().trace.pieces;
  EXPECT_EQ(pieces.size(), 5U);
  EXPECT_TRUE(seen_in(both_ways().trace, Turning::left));
  EXPECT_TRUE(seen_in(both_ways().trace, Turning::right));
  for (const TracedPiece& piece : pieces) {
    EXPECT_GE(piece.nodes, 3);
    EXPECT_GE(piece.returns, piece.shown.size());
    EXPECT_GE(count_of(piece, Turning::left), 30);
    EXPECT_GE(count_of(piece, Turning::right), 30);
    for (const Turning turning : {Turning::left, Turning::straight, Turning::right}) {
      EXPECT_LE(count_of(piece, turning), 120);
    }
    for (const TracedPiece& other : pieces) {
      EXPECT_TRUE(&other == &piece || (other.anchor_m - piece.anchor_m).norm() >= 1.0);
    }
  }
}

TEST(AdjustmentTrace, AWrongClockDoublesWallsOnlyByTurnsBothWays) {
  const AdjustmentTrace& trace = both_ways().trace;
  const TriedConstants late = later(trace.found, 0.05);
  EXPECT_LT(thickness_m(trace, trace.found), 0.003);
  EXPECT_GT(thickness_m(trace, late), 0.010);
  // The heading makes good in turns one way what it spoils in the others.
  const auto with_heading = [&](std::optional<Turning> turning) {
    return thickness_m(trace, with_best_heading(trace, late, turning), turning);
  };
  EXPECT_LT(with_heading(Turning::left), 0.5 * with_heading({}));
  EXPECT_LT(with_heading(Turning::right), 0.5 * with_heading({}));
  const auto heading = [&](Turning turning) {
    return with_best_heading(trace, late, turning).mounting.heading_rad - trace.found.mounting.heading_rad;
  };
  EXPECT_LT(heading(Turning::left), -0.5 * kDegree) << "a late clock turns the lidar on to the left";
  EXPECT_GT(heading(Turning::right), 0.5 * kDegree);
}

TEST(AdjustmentTrace, AWrongClockHardlyShowsStraightAhead) {
  const TracedHouse straight(straight_ahead());
  ASSERT_FALSE(straight.trace.pieces.empty());
  for (const TracedPiece& piece : straight.trace.pieces) {
    EXPECT_EQ(count_of(piece, Turning::straight), static_cast<std::ptrdiff_t>(piece.shown.size()));
  }
  EXPECT_FALSE(seen_in(straight.trace, Turning::left));
  EXPECT_FALSE(seen_in(straight.trace, Turning::right));
  EXPECT_LT(thickness_m(straight.trace, later(straight.trace.found, 0.05)), 0.005);
}

// By hand: a lidar in the robot's middle, 2 m in front of a wall, turning at 1 rad/s; its heading counts twice.
TEST(AdjustmentTrace, LandsByClockHeadingAndOffset) {
  const TracedReturn seen{{0.0, 0.0, 0.0}, {0.0, 0.0, 1.0}, 0.1, 2.0, Turning::left};
  const Eigen::Vector2d there = landing_m(seen, {{0.0, 0.0, 0.05}, 0.5, 0.25}, {{}, 0.0, 0.05});
  EXPECT_NEAR(there.x(), 2.5 * std::cos(0.1 + 0.05 + 0.2), 1e-12);
  EXPECT_NEAR(there.y(), 2.5 * std::sin(0.1 + 0.05 + 0.2), 1e-12);
}

TEST(AdjustmentTrace, TwoReturnsMakeNoWall) {
  AdjustmentTrace trace;
  trace.pieces.resize(1);
  trace.pieces[0].shown.assign(2, {{}, Tangent2::Zero(), 0.0, 1.0, Turning::left});
  EXPECT_TRUE(residuals_m(trace, trace.found).empty());
  EXPECT_EQ(thickness_m(trace, trace.found), 0.0);
  EXPECT_EQ(with_best_heading(trace, trace.found, {}).mounting.heading_rad, 0.0);
}

TEST(AdjustmentTrace, EachWrongConstantThickensWalls) {
  const AdjustmentTrace& trace = both_ways().trace;
  std::vector<TriedConstants> wrong(4, trace.found);
  wrong[0].mounting.x_m += 0.03;
  wrong[1].mounting.y_m -= 0.03;
  wrong[2].mounting.heading_rad += 2.0 * kDegree;
  wrong[3].range_offset_m += 0.03;
  for (const TriedConstants& tried : wrong) {
    EXPECT_GT(thickness_m(trace, tried), thickness_m(trace, trace.found) + 0.002);
  }
  const TriedConstants mended = with_best_heading(trace, wrong[2], {});
  EXPECT_NEAR(mended.mounting.heading_rad, trace.found.mounting.heading_rad, 0.1 * kDegree);
}

TEST(AdjustmentTrace, WhatRobotYamlSaidIsKept) {
  simulator::Plan plan = there_and_back();
  plan.defects.stamp_delay_s = Knob::fixed(0.020);
  plan.defects.mounting_heading_error_deg = Knob::fixed(0.35);
  const TracedHouse off(plan);
  EXPECT_NEAR(off.trace.found.time_offset_s - off.trace.stated.time_offset_s, -0.020, 0.001);
  EXPECT_NEAR(off.trace.found.mounting.heading_rad - off.trace.stated.mounting.heading_rad, 0.35 * kDegree,
              0.03 * kDegree);
  EXPECT_GT(thickness_m(off.trace, off.trace.stated), 2.0 * thickness_m(off.trace, off.trace.found));
}

}  // namespace
}  // namespace wainscot
