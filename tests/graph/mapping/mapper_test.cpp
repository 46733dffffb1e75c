#include "graph/mapping/mapper.hpp"
#include "core/errors.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <set>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "apps/simulator/lines.hpp"
#include "apps/simulator/markers.hpp"
#include "tests/graph/scene.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

using simulator::Knob;

/// The defects of a common hobby robot, wheels calibrated.
simulator::Plan hobby_house(int rounds = kSlowBuild ? 1 : 2) {
  simulator::Plan plan = ring_house(rounds);
  plan.defects = simulator::calibrated(simulator::Defects());
  plan.uncertainties_stated = true;
  return plan;
}

std::vector<TimedPose> path_of(const Map& map) {
  std::vector<TimedPose> path;
  for (const TrajectoryRow& row : map.trajectory) path.push_back({row.time_s, row.pose});
  return path;
}

/// Every number of a map, so that two maps can be compared to the last bit.
std::vector<std::uint64_t> bits_of(const Map& map) {
  std::vector<std::uint64_t> bits;
  const auto add = [&](double value) { bits.push_back(std::bit_cast<std::uint64_t>(value)); };
  const auto add_pose = [&](const Pose2& pose) {
    add(pose.x_m);
    add(pose.y_m);
    add(pose.heading_rad);
  };
  for (const float cell : map.grid.probability) bits.push_back(std::bit_cast<std::uint32_t>(cell));
  for (const TrajectoryRow& row : map.trajectory) {
    add(row.time_s);
    add_pose(row.pose);
    add_pose(row.odometry);
  }
  for (const Node& node : map.graph.nodes) {
    add_pose(node.pose);
    for (int i = 0; i < 9; ++i) add(node.covariance(i / 3, i % 3));
  }
  for (const Edge& edge : map.graph.edges) {
    add_pose(edge.relative);
    for (int i = 0; i < 9; ++i) add(edge.information(i / 3, i % 3));
  }
  for (const LoopCandidate& candidate : map.candidates) {
    add_pose(candidate.found);
    add(candidate.chi_squared);
  }
  for (const RefinedConstant& constant : map.constants) {
    add(constant.found);
    add(constant.found_sd);
  }
  for (const WallPiece& piece : map.wall_pieces) {
    add(piece.middle_m.x());
    add(piece.middle_m.y());
    add(piece.normal_rad);
  }
  return bits;
}

MapperOptions on_threads(int threads) {
  MapperOptions options;
  options.threads = threads;
  return options;
}

TEST(Mapper, WholeSimulatedHouseIsTrueToTheTruth) {
  const DrivenHouse house = driven(hobby_house(), 3);
  const Map map = build_map(house.drive, on_threads(1));
  const TrajectoryError error = absolute_trajectory_error(path_of(map), house.truth.trajectory);
  EXPECT_LT(error.position_rmse_m, 0.02);
  EXPECT_LT(error.heading_rmse_rad, 0.3 * std::numbers::pi / 180.0);
  std::vector<TimedPose> odometry;
  for (const TrajectoryRow& row : map.trajectory) odometry.push_back({row.time_s, row.odometry});
  const TrajectoryError alone = absolute_trajectory_error(odometry, house.truth.trajectory);
  EXPECT_GT(alone.position_rmse_m, 3.0 * error.position_rmse_m);

  int closures = 0;
  for (const LoopCandidate& candidate : map.candidates) {
    if (candidate.verdict == Verdict::rejected) continue;
    ++closures;
    const Pose2 truth = between(house.true_pose(map.graph.nodes[candidate.from].time_s),
                                house.true_pose(map.graph.nodes[candidate.to].time_s));
    EXPECT_LT(apart_m(candidate.found, truth), 0.10);
    EXPECT_LT(apart_rad(candidate.found, truth), 3.0 * std::numbers::pi / 180.0);
  }
  EXPECT_GE(closures, kSlowBuild ? 1 : 5);
  EXPECT_EQ(map.quality.scans_used, static_cast<int>(map.trajectory.size()));
  EXPECT_NEAR(map.quality.duration_s, map.trajectory.back().time_s - map.trajectory.front().time_s, 1e-9);
  EXPECT_LT(map.quality.cost_after, map.quality.cost_before);
  EXPECT_GT(map.wall_pieces.size(), 60U);  // 48 m of wall faces and furniture in pieces of 0.3 m
  // The map's frame is the first used scan's pose.
  EXPECT_LT(apart_m(map.trajectory.front().pose, {}), 1e-6);
  EXPECT_LT(apart_rad(map.trajectory.front().pose, {}), 1e-6);
}

TEST(Mapper, SameMapAtAnyNumberOfThreads) {
  const DrivenHouse house = driven(hobby_house(1), 4);
  const std::vector<std::uint64_t> one = bits_of(build_map(house.drive, on_threads(1)));
  EXPECT_GT(one.size(), 10000U);
  EXPECT_TRUE(bits_of(build_map(house.drive, on_threads(2))) == one);
  EXPECT_TRUE(bits_of(build_map(house.drive, on_threads(5))) == one);
}

// Wheels and lidar both half a per cent off: the survey alone knows the scale, and where the house lies.
simulator::Plan ring_house_out_of_scale() {
  simulator::Plan plan = ring_house(1);
  plan.defects.range_scale = simulator::Knob::fixed(1.005);
  plan.defects.range_noise_m = simulator::Knob::fixed(0.01);
  plan.defects.left_m_per_tick_error_rel = simulator::Knob::fixed(0.005);
  plan.defects.right_m_per_tick_error_rel = simulator::Knob::fixed(0.005);
  return plan;
}

TEST(Mapper, SurveyedMarkersSetFrameAndScale) {
  simulator::Plan plan = ring_house_out_of_scale();
  plan.defects.marker_noise_m = simulator::Knob::fixed(0.01);
  plan.defects.marker_misread_rate = simulator::Knob::fixed(0.05);
  plan.markers = simulator::lay_out_markers(plan, 5);
  plan.markers_surveyed = true;
  const DrivenHouse house = driven(plan, 3);
  const Map map = build_map(house.drive, on_threads(1));
  EXPECT_TRUE(map.markers.frame_by_survey);
  ASSERT_EQ(map.markers.markers.size(), 5u);
  for (const TrajectoryRow& row : map.trajectory) EXPECT_LT(apart_m(row.pose, house.true_pose(row.time_s)), 0.015);
  for (std::size_t i = 0; i < 5; ++i) {
    EXPECT_NEAR(map.markers.markers[i].place.x_m, plan.markers[i].at.x_m, 0.01);
    EXPECT_NEAR(map.markers.markers[i].place.y_m, plan.markers[i].at.y_m, 0.01);
  }
  EXPECT_EQ(map.quality.scale_set_by.find("surveyed markers"), 0u) << map.quality.scale_set_by;
  EXPECT_LT(map.quality.scale_sd, 0.003);  // 0.005 beforehand
  EXPECT_FALSE(map.markers.left_out.empty());
  for (const LeftOutSighting& s : map.markers.left_out) EXPECT_EQ(s.marker, house.drive.markers[s.sighting].marker);
}

TEST(Mapper, MeasuredLinesSetFrameAndScale) {
  simulator::Plan plan = ring_house_out_of_scale();
  plan.defects.follower_noise_m = simulator::Knob::fixed(0.004);
  plan.defects.line_map_noise_m = simulator::Knob::fixed(0.002);
  plan.lines = simulator::lay_out_lines(plan, 6);
  plan.lines_measured = true;
  const DrivenHouse house = driven(plan, 3);
  const Map map = build_map(house.drive, on_threads(1));
  EXPECT_TRUE(map.markers.frame_by_survey);
  ASSERT_GE(map.lines.lines.size(), 4u);
  EXPECT_TRUE(map.lines.left_out.empty());
  for (const TrajectoryRow& row : map.trajectory) EXPECT_LT(apart_m(row.pose, house.true_pose(row.time_s)), 0.02);
  for (const MappedLine& line : map.lines.lines) {
    EXPECT_TRUE(line.measured) << line.name;
    EXPECT_LT(line.survey_difference_m, 0.01) << line.name;
    EXPECT_GT(line.followed_m, 0.8) << line.name;
  }
  EXPECT_NE(map.quality.scale_set_by.find("measured lines"), std::string::npos) << map.quality.scale_set_by;
  EXPECT_LT(map.quality.scale_sd, 0.004);  // 0.005 beforehand
}

TEST(Mapper, WithoutLoopClosureNoCandidateIsTried) {
  const DrivenHouse house = driven(hobby_house(1), 5);
  MapperOptions options;
  options.close_loops = false;
  const Map map = build_map(house.drive, options);
  EXPECT_TRUE(map.candidates.empty());
  for (const Edge& edge : map.graph.edges) EXPECT_NE(edge.kind, EdgeKind::closure);
  EXPECT_GT(map.trajectory.size(), 100U);
}

TEST(Mapper, ProgressGrowsToOneAndCellSizeIsKept) {
  const DrivenHouse house = driven(hobby_house(1), 6);
  std::vector<double> fractions;
  std::set<std::string> stages;
  MapperOptions options;
  options.cell_size_m = 0.1;
  options.progress = [&](const std::string& stage, double fraction) {
    stages.insert(stage);
    fractions.push_back(fraction);
  };
  const Map map = build_map(house.drive, options);
  EXPECT_EQ(map.grid.frame.cell_size_m, 0.1);
  EXPECT_TRUE(std::is_sorted(fractions.begin(), fractions.end()));
  EXPECT_EQ(fractions.back(), 1.0);
  EXPECT_GE(stages.size(), 4U);
}

// The computer hung for 1.5 s while the robot drove on, and the counters began anew: only the scans know the way.
TEST(Mapper, BreakOfOdometryIsJoinedByTheScans) {
  DrivenHouse house = driven(hobby_house(1), 7);
  std::vector<WheelCounts>& wheels = house.drive.wheels;
  const std::size_t middle = wheels.size() / 2;
  const double lost_m = apart_m(house.true_pose(wheels[middle].time_s), house.true_pose(wheels[middle + 75].time_s));
  ASSERT_GT(lost_m, 0.2);
  wheels.erase(wheels.begin() + static_cast<std::ptrdiff_t>(middle),
               wheels.begin() + static_cast<std::ptrdiff_t>(middle) + 75);
  for (std::size_t i = middle; i < wheels.size(); ++i) {
    wheels[i].left_ticks += 123456;
    wheels[i].right_ticks -= 7890;
  }
  house.drive.breaks = {middle};
  const Map map = build_map(house.drive, on_threads(1));
  const TrajectoryError error = absolute_trajectory_error(path_of(map), house.truth.trajectory);
  EXPECT_LT(error.position_rmse_m, 0.02);
  EXPECT_LT(error.heading_rmse_rad, 0.3 * std::numbers::pi / 180.0);
}

/// The text of the PoorData that a drive is refused with; empty where it is mapped.
std::string refusal(const Drive& drive) {
  try {
    build_map(drive, on_threads(1));
  } catch (const PoorData& poor) {
    return poor.what();
  }
  return "";
}

Drive still_drive(int scans) {
  Drive drive;
  drive.robot.lidar = still_lidar();
  drive.odometry = {{0.0, {}}, {100.0, {}}};
  for (int i = 0; i < scans; ++i) drive.scans.push_back(scan_at(crooked_room(), {}, 1.0 + i));
  return drive;
}

TEST(Mapper, PoorDataIsRefusedWithNumbers) {
  EXPECT_NE(refusal(still_drive(0)), "");
  EXPECT_NE(refusal(still_drive(1)).find("at least two scans"), std::string::npos);

  Drive empty = still_drive(40);
  for (Scan& scan : empty.scans) scan.returns.clear();
  EXPECT_NE(refusal(empty).find("the drive has 40, of which"), std::string::npos) << refusal(empty);
  EXPECT_NE(refusal(empty).find("40 hold fewer returns"), std::string::npos) << refusal(empty);

  Drive late = still_drive(10);
  for (Scan& scan : late.scans) scan.time_s += 1000.0;
  EXPECT_NE(refusal(late).find("10 lie outside"), std::string::npos) << refusal(late);

  Drive unmoved = still_drive(40);
  EXPECT_NE(refusal(unmoved).find("hardly moved"), std::string::npos) << refusal(unmoved);

  Drive no_odometry = still_drive(40);
  no_odometry.odometry.resize(1);
  EXPECT_NE(refusal(no_odometry).find("fewer than two rows of odometry"), std::string::npos);
}

// 2026-11-26: scans taken while the robot was carried were spread between the nodes before and behind, with walls drawn
// there, half a metre off and more.
TEST(Mapper, WhatALiftedRobotSawInTheAirIsLeftOut) {
  simulator::Plan plan = hobby_house(2);
  plan.route[6].lift = simulator::Lift{{{5.4, 2.0}, {5.4, 1.1}}, 130.0};
  const DrivenHouse house = driven(plan);
  MapperOptions options;
  options.threads = 1;
  const Map map = build_map(house.drive, options);
  EXPECT_GT(map.quality.scans_while_carried, 5);
  EXPECT_EQ(map.quality.scans_used, static_cast<int>(map.trajectory.size()));
  const auto tells = [](const std::string& warning) { return warning.find("lifted") != std::string::npos; };
  EXPECT_EQ(std::count_if(map.warnings.begin(), map.warnings.end(), tells), 1);
  EXPECT_LT(absolute_trajectory_error(path_of(map), house.truth.trajectory).position_rmse_m, 0.010);
}

}  // namespace
}  // namespace wainscot
